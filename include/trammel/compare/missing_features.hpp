#pragma once

/// Readings that speak of another face than the nearest: material that is not there, and openings
/// that are closed.

#include <Eigen/Core>
#include <cstdint>
#include <vector>

#include "trammel/geometry/point_index.hpp"
#include "trammel/geometry/surface_index.hpp"
#include "trammel/model/deviations.hpp"

namespace trammel {

/// What the readings of a scan rest on; references live as long as the call. Matrices are 3 × #P,
/// in the design frame.
struct ScannedSurface {
  const Eigen::Matrix3Xd& points_mm;
  const Eigen::Matrix3Xd& normals;            ///< unit, out of the material
  const PointIndex& index;                    ///< of the points
  const std::vector<std::uint8_t>& sideways;  ///< #P, 1 where a face was met over its edge
  double near_mm;                             ///< a little more than neighbouring points lie apart
};

/// A scanned surface inside the design's material has nothing before it that the design says should
/// be there: a boss, a rib or a tab is missing. Its depth under the nearest face says nothing: in
/// thin sheet it is at most half the thickness. From the point the material is followed along the
/// normal to where it ends in the design, and that end is shy by the whole way. Where a scanned
/// surface looks back on the way, or the end was scanned in its place, the way ends there (a notch,
/// a hole too many) and the face beside the void is shy. A way that runs over a face set back, such
/// as that of a plate too thin from the foot of a wall that stands on it, is none: that face's own
/// readings say how shy it is.
void read_missing_material(const ScannedSurface& scanned, const SurfaceIndex& design,
                           Deviations& deviations);

/// A face that goes on over its edge (a hole that was not drilled or is too small, a sheet cut too
/// long) covers the wall at that edge: the wall is proud by as far as the face reaches from it, and
/// by no less than the wall's own points over that place say, however high above the edge they lie.
/// One stray reaching farther counts for nothing.
void read_covered_walls(const ScannedSurface& scanned, const SurfaceIndex& design, double level_mm,
                        Deviations& deviations);

}  // namespace trammel
