#pragma once

/// The form of a flat face as the scan shows it: what flatness, parallelism, perpendicularity and
/// local thickness are taken from.

#include <Eigen/Core>
#include <string>

#include "trammel/judge/face_cells.hpp"
#include "trammel/judge/measure_face.hpp"

namespace trammel {

/// Readings of a face by square blocks.
struct FaceForm {
  std::string reason;  ///< why it was not measured, one clause; empty when it was
  FaceSight sight;

  // The rest holds only when measured.
  Eigen::Matrix3Xd place_mm;    ///< 3 × #B, on the design
  Eigen::VectorXd value_mm;     ///< #B, mean over the block
  double side_mm = 0.0;         ///< of a block
  double noise_reach_mm = 0.0;  ///< how far out noise alone takes the outermost of them
};

/// The chosen values pooled over square blocks twice as wide as `pooled_mm`, in four grids that are
/// half a block apart: whatever lies on the face and is half as wide again as a block has a block
/// to itself and keeps its depth, and the smallest patch that counts (a square of √4 mm, blocks of
/// 1.8 mm) keeps 0.65 of it at least. Blocks less than half on the face are left out.
///
/// Noise is taken off by this averaging and by nothing else. What is left of it makes a flat face
/// look a little less flat, hardly ever flatter, for the width of a zone is convex in the heights.
/// A block is a mean of medians, which rests on the points in it and some more beside it: its noise
/// is s = σ √(π/2) / √n at most (of a wall with 1/n + 1/n' for both sides), n its points or, where
/// that is more, those behind one of its medians. How far out it can take
/// the outermost block is r, where the chances of all blocks to lie farther out, ½ erfc(r / (√2 s))
/// each, add up to 2.5 %: 2 r holds for a width with 95 % or more, however blocks hang together.
/// @param normal          of the face, unit
/// @param point_noise_mm  σ of single readings
[[nodiscard]] FaceForm face_form(const CellValues& values, const Eigen::Vector3d& normal,
                                 const SurfaceCells& cells, double point_noise_mm,
                                 const MeasureFaceSettings& settings = {});

/// Whether the blocks spread over four of their widths both ways: on a narrower face a zone could
/// be turned until it is as thin as one likes.
[[nodiscard]] bool tells_its_lean(const FaceForm& form, const Eigen::Vector3d& normal);

/// Least distance of two parallel planes that hold the face, its values taken as heights along the
/// normal (geometry/minimum_zone.hpp).
[[nodiscard]] double flatness_mm(const FaceForm& form, const Eigen::Vector3d& normal);

/// Distance of two planes square to `direction` that hold the face.
/// @param direction  unit
[[nodiscard]] double range_along_mm(const FaceForm& form, const Eigen::Vector3d& normal,
                                    const Eigen::Vector3d& direction);

/// Least distance of two parallel planes square to the datum plane that hold the face; they may
/// turn about the datum's normal by up to 10°.
[[nodiscard]] double range_square_to_mm(const FaceForm& form, const Eigen::Vector3d& normal,
                                        const Eigen::Vector3d& datum);

/// Sides of the smallest rectangle about the face's corners, of 90 directions a degree apart.
struct FaceSides {
  double longer_mm = 0.0, shorter_mm = 0.0;
};
[[nodiscard]] FaceSides sides_of(const Mesh& design, const SmoothFace& face);

/// How far the face reaches in a direction.
[[nodiscard]] double extent_along_mm(const Mesh& design, const SmoothFace& face,
                                     const Eigen::Vector3d& direction);

}  // namespace trammel
