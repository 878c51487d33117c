#pragma once

/// The form of a flat face as the scan shows it, for flatness and parallelism.

#include <Eigen/Core>
#include <string>

#include "trammel/judge/measure_face.hpp"

namespace trammel {

struct FaceForm {
  std::string reason;  ///< why it was not measured, one clause; empty when it was

  // The rest holds only when measured.
  Eigen::Matrix3Xd
      place_mm;           ///< 3 × #B, of the scanned face: on the design, moved by the deviation
  double noise_mm = 0.0;  ///< 1 σ of a block, root mean square
  double side_mm = 0.0;   ///< of a block
  /// Width that noise alone gives a perfect face: 2 σ √(2 ln #B), which the mean range of #B normal
  /// values does not pass.
  [[nodiscard]] double noise_width_mm() const;
};

/// Readings of a face pooled over square blocks twice as wide as `pooled_mm`, the smallest that
/// share no scan points with their neighbours. Blocks that lie on the face by less than a quarter
/// are left out. The noise of a block is that of the median of the points behind one of its cells,
/// σ √(π/2) / √n.
/// @param point_noise_mm  σ of single readings
[[nodiscard]] FaceForm face_form(const SmoothFace& face, const SurfaceCells& cells,
                                 const CellReadings& readings, double point_noise_mm,
                                 const MeasureFaceSettings& settings = {});

/// Least distance of two parallel planes that hold the face (geometry/minimum_zone.hpp).
[[nodiscard]] double flatness_mm(const FaceForm& form, const Eigen::Vector3d& normal);

/// Distance of two planes square to a direction that hold the face.
[[nodiscard]] double range_along_mm(const FaceForm& form, const Eigen::Vector3d& direction);

/// Sides of the smallest rectangle about the face's corners, of 90 directions a degree apart.
struct FaceSides {
  double longer_mm = 0.0, shorter_mm = 0.0;
};
[[nodiscard]] FaceSides sides_of(const Mesh& design, const SmoothFace& face);

/// How far the face reaches in a direction.
[[nodiscard]] double extent_along_mm(const Mesh& design, const SmoothFace& face,
                                     const Eigen::Vector3d& direction);

}  // namespace trammel
