#pragma once

#include <Eigen/Core>
#include <vector>

namespace trammel {

/// Unit directions spread evenly over the sphere (Fibonacci lattice).
[[nodiscard]] std::vector<Eigen::Vector3d> spread_directions(int count);

}  // namespace trammel
