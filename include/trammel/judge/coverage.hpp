#pragma once

/// How much of the design the scan saw, and where it saw so little that a piece could be missing.

#include <Eigen/Core>
#include <optional>
#include <vector>

#include "trammel/geometry/surface_cells.hpp"
#include "trammel/geometry/surface_index.hpp"
#include "trammel/model/plan.hpp"
#include "trammel/model/surface_map.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

[[nodiscard]] Coverage coverage_of(const SurfaceCells& cells, const CellReadings& readings);

/// Share of the zone's area that was seen; nothing when no cell lies in the zone.
[[nodiscard]] std::optional<double> seen_share_of(const Zone& zone, const SurfaceCells& cells,
                                                  const CellReadings& readings);

/// A connected piece of surface that was seen from neither side of its wall: it could be missing,
/// and the scan would look the same.
struct UnseenWall {
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();  ///< on the design's surface
  double area_mm2 = 0.0;                                ///< of both faces
};

/// Two faces farther apart through the material are not one wall.
constexpr double kThickestWall_mm = 12.0;

/// Straight through the material, on the other face of a wall; not found where that is farther off
/// than `thickest_mm`.
/// @param at_mm   on the design's surface
/// @param normal  unit, outward, of the surface there
[[nodiscard]] SurfacePoint opposite_face(const SurfaceIndex& design, const Eigen::Vector3d& at_mm,
                                         const Eigen::Vector3d& normal, double thickest_mm);

/// Connected fronts of walls of which neither face was seen; largest first, only those of at least
/// `least_area_mm2`.
[[nodiscard]] std::vector<UnseenWall> unseen_walls(const SurfaceIndex& design, const CellTree& tree,
                                                   const CellReadings& readings, double thickest_mm,
                                                   double least_area_mm2);

}  // namespace trammel
