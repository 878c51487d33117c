#pragma once

/// Scanned surface inside the design's material that no region accounts for.

#include <Eigen/Core>
#include <vector>

#include "trammel/model/deviations.hpp"
#include "trammel/model/surface_map.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// A patch of scan points that lie inside the material and face nothing that is drawn near there:
/// the wall of a hole, slot or notch too many. In thin sheet it may be all that is seen of it.
struct InnerSurface {
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();  ///< of the points, design frame
  int points = 0;
};

/// Points read as Inside, joined where they lie at most `apart_mm` from each other; most points
/// first, only patches of five or more: of a good part no point is read so, of a stray one.
/// Left out are points that a region judged fail or undecided speaks for.
/// @param points_mm  3 × #P scan points in the design frame
[[nodiscard]] std::vector<InnerSurface> inner_surfaces(
    const Eigen::Matrix3Xd& points_mm, const Deviations& deviations, const CellReadings& readings,
    const Eigen::VectorXi& region_of_cell, const std::vector<Region>& regions, double apart_mm);

}  // namespace trammel
