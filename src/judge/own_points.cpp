#include "trammel/judge/own_points.hpp"

#include <algorithm>
#include <cstdint>
#include <vector>

#include "trammel/base/parallel.hpp"
#include "trammel/geometry/point_index.hpp"
#include "trammel/judge/surface_there.hpp"

namespace trammel {
namespace {

using Eigen::Index;

/// A point of a face looks its way within 37°; so many radii about a place of a narrow face are
/// looked through. Both as in compare/missing_features.cpp: where a face has such points, what
/// reaches over it was read as they are.
constexpr double kOwnWay = 0.8, kLookedThrough = 2.0;
/// A median of fewer could be a stray's, as in compare/cell_readings.cpp.
constexpr int kFewestOwn = 3;

bool reaches_over(const Deviations& deviations, std::size_t point) {
  return deviations.inferred[point] != 0 && deviations.reading[point] == Reading::Measured;
}

/// #C, 1 where a place of `index` lies within the distance of the cell's centre.
std::vector<std::uint8_t> cells_near(const SurfaceCells& cells, const PointIndex& index,
                                     double within_mm) {
  std::vector<std::uint8_t> out(static_cast<std::size_t>(cells.size()), 0);
  for_each_index(out.size(), [&](std::size_t c) {
    const auto center = cells.center_mm.col(static_cast<Index>(c));
    out[c] = index.nearest(center, 1, within_mm).empty() ? 0 : 1;
  });
  return out;
}

}  // namespace

CellReadings by_own_points(const SurfaceCells& cells, const CellReadings& read,
                           const Deviations& deviations, const Eigen::Matrix3Xd& normals,
                           double pooled_mm) {
  CellReadings out = read;
  const std::vector<Index> over = indices_where(
      deviations.inferred.size(), [&](std::size_t i) { return reaches_over(deviations, i); });
  if (over.empty()) return out;
  const Eigen::Matrix3Xd over_mm = deviations.foot_mm(Eigen::all, over);
  const PointIndex reached(over_mm);
  const auto asked = cells_near(cells, reached, pooled_mm);
  const auto around =
      cells_near(cells, reached, (1.0 + kLookedThrough) * pooled_mm + cells.longest_edge_mm);
  const std::vector<Index> own = indices_where(deviations.reading.size(), [&](std::size_t i) {
    const auto point = static_cast<Index>(i);
    const int cell = read.cell_of_point[point];
    return cell >= 0 && around[static_cast<std::size_t>(cell)] != 0 &&
           deviations.reading[i] == Reading::Measured && deviations.inferred[i] == 0 &&
           normals.col(point).dot(cells.normal.col(cell)) > kOwnWay;
  });
  const Eigen::Matrix3Xd own_mm = deviations.foot_mm(Eigen::all, own);
  const PointIndex index(own_mm);
  for_each_index(asked.size(), [&](std::size_t i) {
    if (asked[i] == 0) return;
    const auto c = static_cast<Index>(i);
    int found = 0;
    for (const Neighbour& foot : index.within(cells.center_mm.col(c), kLookedThrough * pooled_mm)) {
      const Index point = own[static_cast<std::size_t>(foot.index)];
      if (normals.col(point).dot(cells.normal.col(c)) > kOwnWay) ++found;
    }
    if (found < kFewestOwn) take_away(out, c);
  });
  return out;
}

}  // namespace trammel
