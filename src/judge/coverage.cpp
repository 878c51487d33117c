#include "trammel/judge/coverage.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numeric>
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

double area_of(const SurfaceCells& cells, const std::vector<int>& patch) {
  return std::accumulate(patch.begin(), patch.end(), 0.0,
                         [&](double sum, int cell) { return sum + cells.area_mm2[cell]; });
}

/// 1 for unseen cells that hang together over `least_area_mm2`: no wall of as much lies elsewhere.
std::vector<std::uint8_t> large_unseen(const SurfaceCells& cells, const CellReadings& readings,
                                       double least_area_mm2) {
  std::vector<std::uint8_t> unseen(readings.seen.size()), out(unseen.size(), 0);
  for (std::size_t c = 0; c < unseen.size(); ++c)
    unseen[c] = readings.seen[c] == 0 ? 1 : 0;
  for (const std::vector<int>& patch : cell_patches(cells, std::move(unseen))) {
    if (area_of(cells, patch) < least_area_mm2) continue;
    for (const int cell : patch)
      out[static_cast<std::size_t>(cell)] = 1;
  }
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

SurfacePoint opposite_face(const SurfaceIndex& design, const Vector3d& at_mm,
                           const Vector3d& normal, double thickest_mm) {
  constexpr double kSameWay = 0.8;
  const SurfacePoint other = design.nearest_facing(at_mm, -normal, kSameWay, thickest_mm);
  return other.found() && normal.dot(other.foot_mm - at_mm) < 0.0 ? other : SurfacePoint{};
}

std::vector<UnseenWall> unseen_walls(const SurfaceIndex& design, const CellTree& tree,
                                     const CellReadings& readings, double thickest_mm,
                                     double least_area_mm2) {
  const SurfaceCells& cells = tree.cells();
  std::vector<std::uint8_t> front = large_unseen(cells, readings, least_area_mm2);
  for_each_index(front.size(), [&](std::size_t c) {
    if (front[c] == 0) return;
    const int back = opposite_cell(design, tree, static_cast<Index>(c), thickest_mm);
    front[c] = back >= 0 && readings.seen[static_cast<std::size_t>(back)] == 0 ? 1 : 0;
  });
  std::vector<UnseenWall> walls;
  for (const std::vector<int>& patch : cell_patches(cells, std::move(front))) {
    const double area_mm2 = area_of(cells, patch);
    if (area_mm2 < least_area_mm2) continue;
    walls.push_back({cells.center_mm.col(patch[patch.size() / 2]), area_mm2});
  }
  std::stable_sort(walls.begin(), walls.end(), [](const UnseenWall& a, const UnseenWall& b) {
    return a.area_mm2 > b.area_mm2;
  });
  return walls;
}

}  // namespace trammel
