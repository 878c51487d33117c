#pragma once

/// Places on the design's surface that no point was scanned near.

#include <Eigen/Core>
#include <vector>

#include "trammel/geometry/point_grid.hpp"
#include "trammel/model/surface_map.hpp"

namespace trammel {

/// One of four in a cell, the centres of its quarters, or the centre alone of a cell that is small
/// against the radius: none of the cell lies farther from one than 0.3 of its longest edge, or than
/// half the radius.
struct BarePlace {
  int cell;
  Eigen::Vector3d at_mm;  ///< on the design's surface
};

/// Those with no point within the grid's radius.
/// @param points  in the design frame
/// @return by ascending cell
[[nodiscard]] std::vector<BarePlace> bare_places(const SurfaceCells& cells,
                                                 const PointGrid& points);

}  // namespace trammel
