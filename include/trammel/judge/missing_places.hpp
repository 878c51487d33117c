#pragma once

/// What a region is where the design's surface is not there: a rib that was not made, a hole too
/// many, a piece that is gone.

#include <Eigen/Core>
#include <vector>

#include "trammel/geometry/surface_index.hpp"
#include "trammel/model/deviations.hpp"
#include "trammel/model/surface_map.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// References live as long as the call; all in the design frame.
struct MissingEvidence {
  const SurfaceIndex& design;
  const SurfaceCells& cells;
  const CellReadings& readings;
  const Deviations& deviations;
  const Eigen::Matrix3Xd& points_mm;  ///< 3 × #P, of the scan
  const Eigen::Matrix3Xd& normals;    ///< 3 × #P, unit, out of the material; may be empty
  double expanded_mm = 0.0;           ///< U (k = 2) of one reading
};

/// Of each region with an absence, from the scan points inside the design's material that speak of
/// it (`Deviations::tells_missing`):
/// - a hole, where they lie round an axis along the region's normal and look at it: a circle
///   through at least 12 of them with nine of twelve sectors filled, and a misfit of at most U or a
///   tenth of its radius. The region is moved to the mouth's middle and has the circle's diameter;
/// - a feature, where most of them go on with a face of the design beside it, within U or the
///   region's limit of its level: what stands on that face in the design was not made;
/// - else material.
/// Its peak and mean become the depth that is known to be missing: from the design's surface
/// straight down to the scanned one that looks the same way, but no farther than the design's
/// material reaches there. The way that the readings are taken along may run along a wall.
/// @param region_of_cell  #C, id or 0
void tell_missing(const MissingEvidence& evidence, const Eigen::VectorXi& region_of_cell,
                  std::vector<Region>& regions);

}  // namespace trammel
