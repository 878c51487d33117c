#pragma once

/// The directions from which a scanner may look at a place, and how far apart directions lie.

#include <Eigen/Core>
#include <functional>
#include <vector>

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

/// At least `share` of the directions about `out` are closed; asked until that is known.
[[nodiscard]] bool are_closed_about(const Eigen::Vector3d& out, double share,
                                    const std::function<bool(const Eigen::Vector3d&)>& is_closed);

/// The widest angle between neighbours in the plane, 2π without any.
/// @param turns_rad  in any order, −π … π
[[nodiscard]] double widest_gap(std::vector<double> turns_rad);

}  // namespace trammel
