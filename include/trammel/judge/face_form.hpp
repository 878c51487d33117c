#pragma once

/// The form of a flat face as the scan shows it: what flatness, parallelism, perpendicularity and
/// local thickness are taken from.

#include <Eigen/Core>
#include <string>

#include "trammel/judge/face_cells.hpp"
#include "trammel/judge/measure_face.hpp"

namespace trammel {

/// Readings of a face, one a cell.
struct FaceForm {
  std::string reason;  ///< why it was not measured, one clause; empty when it was
  FaceSight sight;

  // The rest holds only when measured.
  Eigen::Matrix3Xd place_mm;    ///< 3 × #R, on the design
  Eigen::VectorXd value_mm;     ///< #R, median of the points around
  double radius_mm = 0.0;       ///< of what counts as around
  double noise_reach_mm = 0.0;  ///< how far out noise alone takes the outermost of them
};

/// The readings of the chosen cells, but for those that one stray could have made.
///
/// Noise is taken off by the median behind each reading and by nothing else, so that a defect of
/// the smallest size that counts keeps its depth. What is left of it makes a flat face look a
/// little less flat, hardly ever flatter, for the width of a zone is convex in the heights. A
/// reading's noise is that of a median of n points, s = σ √(π/2) / √n. What it can make of the
/// extremes is r = max over k of s₍ₖ₎ √(2 ln (k + 1)), s₍ₖ₎ the k-th largest (the order in which
/// the largest of independent normal values grows; from memory after van Handel 2017, and tested).
/// Neighbours that share points reach less far.
/// @param of_face         #C, 0 where chosen, −1 elsewhere
/// @param point_noise_mm  σ of single readings
[[nodiscard]] FaceForm face_form(const Eigen::VectorXi& of_face, const SurfaceCells& cells,
                                 const CellReadings& readings, double point_noise_mm,
                                 const MeasureFaceSettings& settings = {});

/// Whether the readings spread over four times twice their radius both ways: on a narrower face a
/// zone could be turned until it is as thin as one likes.
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
