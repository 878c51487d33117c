#pragma once

/// Places on the design's surface that no point was scanned near.

#include <Eigen/Core>
#include <vector>

#include "trammel/model/surface_map.hpp"

namespace trammel {

/// One of four in a cell, the centres of its quarters, or the centre alone of a cell that is small
/// against the radius: none of the cell lies farther from one than 0.3 of its longest edge, or than
/// half the radius.
struct BarePlace {
  int cell;
  Eigen::Vector3d at_mm;  ///< on the design's surface
};

/// Those within `radius_mm` of which no point lies whose foot is in their own cell, nor is found
/// from neighbour to neighbour in others: where an empty disc may lie, and some more. It asks of
/// each cell and its neighbours once.
/// @param cell_of_point  #P, as `CellReadings` has it
/// @param points_mm      3 × #P scan points in the design frame
/// @return by ascending cell
[[nodiscard]] std::vector<BarePlace> bare_places(const SurfaceCells& cells,
                                                 const Eigen::VectorXi& cell_of_point,
                                                 const Eigen::Matrix3Xd& points_mm,
                                                 double radius_mm);

}  // namespace trammel
