#pragma once

/// Scanned surface where the design has none, and no reading can say how far it is off: what is cut
/// away too much, and what was left in.

#include <Eigen/Core>
#include <cstdint>
#include <vector>

#include "trammel/geometry/surface_index.hpp"
#include "trammel/judge/point_patches.hpp"
#include "trammel/model/deviations.hpp"
#include "trammel/model/plan.hpp"
#include "trammel/model/surface_map.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// The scan as it lies in the design.
struct PlacedScan {
  const Eigen::Matrix3Xd& points_mm;  ///< 3 × #P, design frame
  const Eigen::Matrix3Xd& normals;    ///< 3 × #P, unit, out of the material
  const Deviations& deviations;
  double noise_mm;    ///< 1 σ of single readings
  double spacing_mm;  ///< of the scan's points
  const Plan& plan;
  double expanded_mm;  ///< U (k = 2) of one reading
  double point_mm2;    ///< surface that a scan point stands for
};

/// Depth of a point in the material that noise does not make (so many sigma), and scanners' small
/// errors at edges do not either (common practice, no source).
inline constexpr double kDeepestNoise = 4.0, kLeastInMaterial_mm = 0.12;

/// Points deeper than that are in the material.
[[nodiscard]] double surely_inside_mm(const PlacedScan& scan);

/// 1 for points in the material that face nothing drawn near there: those read as Inside, and those
/// deeper than noise whose normal leans more than 60° from the nearest face. In thin sheet they may
/// be all that is seen of the wall of a hole, slot or notch too many. Of a good part none is read
/// so, but for strays: where a wall that is off its place by less than its band meets another face,
/// its points are nearer to that one, but look like the wall, and that lies within its band − U.
/// The same holds for the foot of a wall that a face off its place lays bare.
/// @return #P
[[nodiscard]] std::vector<std::uint8_t> points_inside(const PlacedScan& scan,
                                                      const SurfaceIndex& design);

/// What `points_inside` finds, and how many strays there are (strays.hpp).
struct InMaterial {
  std::vector<std::uint8_t> inside;  ///< #P
  double strays_per_mm3 = 0.0;
};

/// So many of them make a patch.
inline constexpr int kFewestInside = 5;

/// Patches of such points, five or more, without those that a region judged fail or undecided
/// speaks for. They lie up to 1 mm or 2.5 spacings apart, and denser than strays where that can be
/// told (strays.hpp).
[[nodiscard]] std::vector<PointPatch> surfaces_inside(const PlacedScan& scan,
                                                      const InMaterial& material,
                                                      const CellReadings& readings,
                                                      const Eigen::VectorXi& region_of_cell,
                                                      const std::vector<Region>& regions);

/// Points of no face (Beside) that lie in a gap of the design, between two faces that look at each
/// other: the floor of a hole that does not go through, a plug, a bridge of weld in a slot. The
/// bench seen through a hole is level with the edge of its wall and does not lie in it.
[[nodiscard]] std::vector<PointPatch> surfaces_in_gaps(const PlacedScan& scan,
                                                       const SurfaceIndex& design,
                                                       double strays_per_mm3);

}  // namespace trammel
