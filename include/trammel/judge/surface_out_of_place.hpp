#pragma once

/// Scanned surface where the design has none, and no reading can say how far it is off: what is cut
/// away too much, and what was left in.

#include <Eigen/Core>
#include <vector>

#include "trammel/geometry/surface_index.hpp"
#include "trammel/judge/point_patches.hpp"
#include "trammel/model/deviations.hpp"
#include "trammel/model/surface_map.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// Points read as Inside: they lie in the material and face nothing that is drawn near there. In
/// thin sheet they may be all that is seen of the wall of a hole, slot or notch too many. Of a good
/// part no point is read so. Left out are points that a region judged fail or undecided speaks for.
/// @param points_mm  3 × #P scan points in the design frame
/// @param apart_mm   points of one patch lie no farther from each other
[[nodiscard]] std::vector<PointPatch> surfaces_inside(
    const Eigen::Matrix3Xd& points_mm, const Deviations& deviations, const CellReadings& readings,
    const Eigen::VectorXi& region_of_cell, const std::vector<Region>& regions, double apart_mm);

/// Points of no face (Beside) that lie in a gap of the design, between two faces that look at each
/// other: the floor of a hole that does not go through, a plug, a bridge of weld in a slot. The
/// bench seen through a hole is level with the edge of its wall and does not lie in it.
[[nodiscard]] std::vector<PointPatch> surfaces_in_gaps(const Eigen::Matrix3Xd& points_mm,
                                                       const SurfaceIndex& design,
                                                       const Deviations& deviations,
                                                       double apart_mm);

}  // namespace trammel
