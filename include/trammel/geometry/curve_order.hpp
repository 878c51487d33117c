#pragma once

#include <Eigen/Core>
#include <cstdint>
#include <vector>

namespace trammel {

/// The points' numbers in the order in which a Z-order curve [Morton 1966] through 1024³ cells of
/// their box passes them: neighbours in the list are neighbours in space, so that queries made in
/// this order find their data in the cache. Points of one cell keep their order; points that are
/// not finite come last. O(n), 16 bytes a point while it runs.
/// @param points_mm  3 × n, n < 2³²
[[nodiscard]] std::vector<std::uint32_t> curve_order(const Eigen::Matrix3Xd& points_mm);

}  // namespace trammel
