#pragma once

/// Few points that stand for many, one of each small cell, where a scan is far denser than its
/// noise and than anything that is judged.

#include <Eigen/Core>
#include <cstddef>
#include <vector>

#include "trammel/geometry/curve_order.hpp"

namespace trammel {

/// Area of the surface that points were scanned from, from the cells of a coarse grid that hold
/// some of a spread of them; to a factor of about two. 0 where they have no extent.
[[nodiscard]] double rough_area_mm2(const Eigen::Matrix3Xd& points_mm);

struct Thinning {
  double coarsest_mm = 0.0;      ///< edge of a cell at most; 0: no thinning
  std::size_t fewest = 300'000;  ///< about so many cells at least hold the surface
};

/// The edge of cells that is worth thinning to; 0 when they would hold next to no more than a point
/// each, and when there are no more points than that anyway.
[[nodiscard]] double thinning_cell_mm(const Eigen::Matrix3Xd& points_mm, const Thinning& thinning);

/// Of each cell the point nearest to the mean of the cell's points, the first of equals.
/// @return #C, numbers of points, cell by cell
[[nodiscard]] std::vector<int> representatives(const Eigen::Matrix3Xd& points_mm,
                                               const CurveOrder& cells);

}  // namespace trammel
