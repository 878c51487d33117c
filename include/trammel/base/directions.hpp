#pragma once

#include <Eigen/Core>
#include <vector>

namespace trammel {

/// Unit directions spread evenly over the sphere (Fibonacci lattice).
[[nodiscard]] std::vector<Eigen::Vector3d> spread_directions(int count);

/// Unit directions at right angles to `normal` (unit), a turn / `count` apart.
[[nodiscard]] std::vector<Eigen::Vector3d> directions_across(const Eigen::Vector3d& normal,
                                                             int count);

}  // namespace trammel
