#pragma once

/// Places on the design's surface that no point was scanned near.

#include <Eigen/Core>
#include <vector>

#include "trammel/model/surface_map.hpp"

namespace trammel {

/// One of four in a cell, the centres of its quarters: none of the cell lies farther from one than
/// 0.3 of its longest edge.
struct BarePlace {
  int cell;
  Eigen::Vector3d at_mm;  ///< on the design's surface
};

/// Those within `radius_mm` of which no foot of a point lies in their own cell, nor, as far as
/// whole cells tell, in others: where an empty disc may lie, and some more. It asks of cells and
/// their neighbours alone, so that a dense scan, which leaves none, costs a glance a point.
/// @param cell_of_point  #P, as `CellReadings` has it
/// @param feet_mm        3 × #P, on the design's surface
/// @return by ascending cell
[[nodiscard]] std::vector<BarePlace> bare_places(const SurfaceCells& cells,
                                                 const Eigen::VectorXi& cell_of_point,
                                                 const Eigen::Matrix3Xd& feet_mm, double radius_mm);

}  // namespace trammel
