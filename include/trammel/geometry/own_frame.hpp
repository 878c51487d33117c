#pragma once

#include <Eigen/Core>
#include <Eigen/Geometry>

namespace trammel {

/// The frame that a cloud of points has by itself, whatever frame it was saved in: points that are
/// moved, turned or listed in another order come to lie in the same places, but for rounding.
///
/// Its origin is the mean, its axes are those of the scatter about it, their senses told by the
/// third moments; the whole is then turned by a fixed motion, as flat faces along the axes would be
/// cut by all grids where rounding decides. Points farther than ten times the root mean square from
/// the mean do not count; that is asked again until none is. A cloud without noise that is
/// symmetric has several such frames, and rounding chooses. Two passes over the points, as a rule.
/// @param points  3 × n, any unit; points that are not finite do not count
/// @return T_own_points; identity for fewer than 3 points, or points all in one place
[[nodiscard]] Eigen::Isometry3d own_frame(const Eigen::Matrix3Xd& points);

}  // namespace trammel
