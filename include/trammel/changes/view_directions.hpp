#pragma once

/// The directions from which a scanner may look at a place.

#include <Eigen/Core>

namespace trammel {

/// Of the outermost from the middle one, rad: 45°.
inline constexpr double kMostLean = 0.7853981633974483;
inline constexpr int kLeanRings = 3;

/// A scanner's usual distance (common practice, no source): what stands farther off hides nothing.
inline constexpr double kStandOff_mm = 150.0;

/// Unit vectors within 45° of `out`, about 15° apart: one, and rings of six times their number.
/// @param out  unit
/// @return 3 × 37
[[nodiscard]] Eigen::Matrix3Xd directions_about(const Eigen::Vector3d& out);

}  // namespace trammel
