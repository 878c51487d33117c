#include "trammel/judge/coverage.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <utility>

#include "trammel/base/parallel.hpp"
#include "trammel/judge/cell_patches.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// −1 where there is none within `thickest_mm`.
int opposite_cell(const SurfaceIndex& design, const CellTree& tree, Index cell,
                  double thickest_mm) {
  const SurfaceCells& cells = tree.cells();
  const SurfacePoint other =
      opposite_face(design, cells.center_mm.col(cell), cells.normal.col(cell), thickest_mm);
  return other.found() ? tree.cell_at(design.mesh(), other.triangle, other.foot_mm) : -1;
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

SurfacePoint opposite_face(const SurfaceIndex& design, const Vector3d& at_mm,
                           const Vector3d& normal, double thickest_mm) {
  constexpr double kSameWay = 0.8;
  const SurfacePoint other = design.nearest_facing(at_mm, -normal, kSameWay, thickest_mm);
  return other.found() && normal.dot(other.foot_mm - at_mm) < 0.0 ? other : SurfacePoint{};
}

std::vector<WallCells> unseen_on_both_faces(const SurfaceIndex& design, const CellTree& tree,
                                            const CellReadings& readings, double thickest_mm) {
  std::vector<int> back(static_cast<std::size_t>(tree.cells().size()), -1);
  for_each_index(back.size(), [&](std::size_t i) {
    if (readings.seen[i] == 0)
      back[i] = opposite_cell(design, tree, static_cast<Index>(i), thickest_mm);
  });
  std::vector<WallCells> out;
  for (std::size_t i = 0; i < back.size(); ++i) {
    if (back[i] >= 0 && readings.seen[static_cast<std::size_t>(back[i])] == 0)
      out.push_back({static_cast<int>(i), back[i]});
  }
  return out;
}

std::vector<UnseenWall> unseen_walls(const SurfaceCells& cells,
                                     const std::vector<WallCells>& unseen, double least_area_mm2) {
  std::vector<std::uint8_t> open(static_cast<std::size_t>(cells.size()), 0);
  for (const WallCells& wall : unseen)
    open[static_cast<std::size_t>(wall.front)] = 1;
  std::vector<UnseenWall> walls;
  for (const std::vector<int>& patch : cell_patches(cells, std::move(open))) {
    UnseenWall wall;
    for (const int cell : patch)
      wall.area_mm2 += cells.area_mm2[cell];
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
