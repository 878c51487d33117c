#pragma once

/// Small things about rigid motions that the search shares.

#include <Eigen/Core>
#include <Eigen/Geometry>
#include <string>
#include <vector>

#include "trammel/model/mesh.hpp"

namespace trammel {

/// Rotations spread evenly over SO(3): a super-Fibonacci spiral
/// [Alexa 2022, CVPR, "Super-Fibonacci spirals: fast, low-discrepancy sampling of SO(3)"].
[[nodiscard]] std::vector<Eigen::Quaterniond> spread_rotations(int count);

/// Largest distance between where two motions put a corner of the box (in the design frame: what
/// T_design_scan = a makes of a corner that b puts on the box).
[[nodiscard]] double corner_distance_mm(const Eigen::Isometry3d& a, const Eigen::Isometry3d& b,
                                        const Box& design_box);

/// exp of a small motion (rotation vector about `center_mm`, then translation), applied in the
/// design frame.
[[nodiscard]] Eigen::Isometry3d small_motion(const Eigen::Matrix<double, 6, 1>& motion,
                                             const Eigen::Vector3d& center_mm);

/// Turns about a centre that could map a part onto itself: quarter turns about the box's axes and
/// the principal axes, and turns by 30°, 36° and 45° multiples about each of them.
[[nodiscard]] std::vector<Eigen::Isometry3d> likely_symmetries(const Eigen::Matrix3Xd& points_mm,
                                                               const Box& box);

/// A motion of the design in words: "turned 180° about the z axis", "shifted 3.2 mm along x".
[[nodiscard]] std::string motion_in_words(const Eigen::Isometry3d& motion, const Box& box);

}  // namespace trammel
