#pragma once

#include <Eigen/Core>
#include <cstddef>
#include <cstdint>
#include <vector>

namespace trammel {

struct CurveOrder {
  std::vector<std::uint32_t> order;       ///< #P, the points' numbers as the curve passes them
  std::vector<std::uint32_t> cell_start;  ///< #C, where in `order` each cell that holds any begins

  /// One past the last place in `order` of a cell.
  [[nodiscard]] std::size_t end_of(std::size_t cell) const {
    return cell + 1 < cell_start.size() ? cell_start[cell + 1] : order.size();
  }
};

/// Points in the order in which a Z-order curve [Morton 1966] through cubic cells of their box
/// passes them: neighbours in the list are neighbours in space, so that queries made in this order
/// find their data in the cache. Points of one cell keep their order; points that are not finite
/// come last, as a cell of their own. O(n) up to 1024 cells along a side of the box, beyond it
/// O(n log m) for m points in one of 1024; 16 bytes a point while it runs.
/// @param points_mm  3 × n, n < 2³²
/// @param cell_mm  edge of a cell, raised to 1/2²¹ of the box where it is less; 0: 1/1024 of the
/// box
[[nodiscard]] CurveOrder curve_order(const Eigen::Matrix3Xd& points_mm, double cell_mm = 0.0);

}  // namespace trammel
