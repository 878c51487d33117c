#pragma once

#include <Eigen/Core>
#include <cstdint>
#include <vector>

namespace trammel {

struct CurveOrder {
  std::vector<std::uint32_t> order;       ///< #P, the points' numbers as the curve passes them
  std::vector<std::uint32_t> cell_start;  ///< #C, where in `order` each cell that holds any begins
};

/// Points in the order in which a Z-order curve [Morton 1966] through cubic cells of their box
/// passes them: neighbours in the list are neighbours in space, so that queries made in this order
/// find their data in the cache. Points of one cell keep their order; points that are not finite
/// come last, as a cell of their own. O(n), 16 bytes a point while it runs (32 where a side of the
/// box holds more than 1024 cells).
/// @param points_mm  3 × n, n < 2³²
/// @param cell_mm  edge of a cell, raised to 1/2²¹ of the box where it is less; 0: 1/1024 of the
/// box
[[nodiscard]] CurveOrder curve_order(const Eigen::Matrix3Xd& points_mm, double cell_mm = 0.0);

}  // namespace trammel
