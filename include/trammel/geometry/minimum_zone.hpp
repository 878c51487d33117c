#pragma once

/// The minimum zone of a flat face: the least distance between two parallel planes that hold all
/// its points (ISO 1101, the default of flatness).

#include <Eigen/Core>

namespace trammel {

struct MinimumZone {
  double width_mm = 0.0;  ///< 0 for fewer than four points
  /// The middle plane: height = offset + slope · place.
  double offset_mm = 0.0;
  Eigen::Vector2d slope = Eigen::Vector2d::Zero();
  Eigen::Vector4i touching = Eigen::Vector4i::Constant(-1);  ///< points that hold the two planes
};

/// Best plane in the sense of Chebyshev. Any four points have one of their own: with λ from
/// Σ λᵢ (1, xᵢ, yᵢ) = 0 its error is |Σ λᵢ hᵢ| / Σ |λᵢ|. The four whose error is greatest hold all
/// others (Helly); they are found by taking in, again and again, the point that lies farthest out
/// and leaving out the one that holds least, by which the error only grows.
///
/// The width is along the heights; across the planes it is less by the cosine of their slope, which
/// for a face laid on its design is next to nothing. Places are moved by a millionth of their
/// spread, at random by number, so that rows of a grid are in no line.
/// @param place_mm   2 × #P
/// @param height_mm  #P, finite
[[nodiscard]] MinimumZone minimum_zone(const Eigen::Matrix2Xd& place_mm,
                                       const Eigen::VectorXd& height_mm);

}  // namespace trammel
