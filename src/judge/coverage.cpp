#include "trammel/judge/coverage.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>

#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// Cells that are unseen and lie opposite an unseen cell, through at most `thickest_mm`.
std::vector<std::uint8_t> doubly_unseen(const SurfaceIndex& design, const CellTree& tree,
                                        const CellReadings& readings, double thickest_mm) {
  std::vector<std::uint8_t> out(static_cast<std::size_t>(tree.cells().size()), 0);
  for_each_index(out.size(), [&](std::size_t i) {
    if (readings.seen[i] != 0) return;
    const int opposite = opposite_cell(design, tree, static_cast<int>(i), thickest_mm);
    out[i] = opposite >= 0 && readings.seen[static_cast<std::size_t>(opposite)] == 0 ? 1 : 0;
  });
  return out;
}

}  // namespace

Coverage coverage_of(const SurfaceCells& cells, const CellReadings& readings) {
  Coverage out;
  for (Index c = 0; c < cells.size(); ++c) {
    out.design_area_mm2 += cells.area_mm2[c];
    if (readings.seen[static_cast<std::size_t>(c)] != 0) out.seen_area_mm2 += cells.area_mm2[c];
  }
  if (out.design_area_mm2 > 0.0) out.seen_fraction = out.seen_area_mm2 / out.design_area_mm2;
  return out;
}

std::optional<double> seen_share_of(const Zone& zone, const SurfaceCells& cells,
                                    const CellReadings& readings) {
  double seen = 0.0, all = 0.0;
  for (Index c = 0; c < cells.size(); ++c) {
    if (!zone.holds(cells.center_mm.col(c))) continue;
    all += cells.area_mm2[c];
    if (readings.seen[static_cast<std::size_t>(c)] != 0) seen += cells.area_mm2[c];
  }
  if (all <= 0.0) return std::nullopt;
  return seen / all;
}

int opposite_cell(const SurfaceIndex& design, const CellTree& tree, int cell, double thickest_mm) {
  const SurfaceCells& cells = tree.cells();
  const Vector3d inward = -cells.normal.col(cell);
  const SurfacePoint other =
      design.nearest_facing(cells.center_mm.col(cell), inward, 0.8, thickest_mm);
  if (!other.found() || inward.dot(other.foot_mm - cells.center_mm.col(cell)) <= 0.0) return -1;
  return tree.cell_at(design.mesh(), other.triangle, other.foot_mm);
}

std::vector<UnseenWall> unseen_walls(const SurfaceIndex& design, const CellTree& tree,
                                     const CellReadings& readings, double thickest_mm,
                                     double least_area_mm2) {
  const SurfaceCells& cells = tree.cells();
  std::vector<std::uint8_t> open = doubly_unseen(design, tree, readings, thickest_mm);
  std::vector<UnseenWall> walls;
  for (std::size_t seed = 0; seed < open.size(); ++seed) {
    if (open[seed] == 0) continue;
    open[seed] = 0;
    std::vector<int> patch(1, static_cast<int>(seed));
    UnseenWall wall;
    for (std::size_t next = 0; next < patch.size(); ++next) {
      const int at = patch[next];
      wall.area_mm2 += cells.area_mm2[at];
      for (int k = 0; k < 3; ++k) {
        const int other = cells.neighbours(k, at);
        if (other < 0 || open[static_cast<std::size_t>(other)] == 0) continue;
        open[static_cast<std::size_t>(other)] = 0;
        patch.push_back(other);
      }
    }
    if (wall.area_mm2 < least_area_mm2) continue;
    wall.center_mm = cells.center_mm.col(patch[patch.size() / 2]);
    walls.push_back(wall);
  }
  std::stable_sort(walls.begin(), walls.end(), [](const UnseenWall& a, const UnseenWall& b) {
    return a.area_mm2 > b.area_mm2;
  });
  return walls;
}

}  // namespace trammel
