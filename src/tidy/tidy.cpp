#include "trammel/tidy/tidy.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <numeric>
#include <utility>
#include <vector>

#include "trammel/base/error.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/geometry/chosen_by_place.hpp"
#include "trammel/geometry/curve_order.hpp"
#include "trammel/geometry/point_index.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

Scan only(const Scan& scan, const std::vector<std::uint32_t>& kept) {
  Scan out;
  out.name = scan.name;
  out.from_mesh = scan.from_mesh;
  out.points_mm.resize(3, static_cast<Index>(kept.size()));
  const bool normals = scan.has_normals();
  if (normals) out.normals.resize(3, static_cast<Index>(kept.size()));
  for_each_index(kept.size(), [&](std::size_t i) {
    out.points_mm.col(static_cast<Index>(i)) = scan.points_mm.col(kept[i]);
    if (normals) out.normals.col(static_cast<Index>(i)) = scan.normals.col(kept[i]);
  });
  return out;
}

/// Points that are not finite come last on the curve, as a cell of their own.
/// @return how many went
std::size_t take_off_not_finite(const Scan& scan, CurveOrder& cells) {
  if (cells.order.empty() || scan.points_mm.col(cells.order.back()).allFinite()) return 0;
  const std::size_t all = cells.order.size();
  cells.order.resize(cells.cell_start.back());
  cells.cell_start.pop_back();
  return all - cells.order.size();
}

/// Takes points off the cells; those left empty go.
/// @param dropped  of each place in the order, 1 for what goes
void take_off(const std::vector<std::uint8_t>& dropped, CurveOrder& cells) {
  std::size_t kept = 0, kept_cells = 0;
  for (std::size_t c = 0; c < cells.cell_start.size(); ++c) {
    const std::size_t begin = kept, end = cells.end_of(c);
    for (std::size_t i = cells.cell_start[c]; i < end; ++i)
      if (dropped[i] == 0) cells.order[kept++] = cells.order[i];
    if (kept > begin) cells.cell_start[kept_cells++] = static_cast<std::uint32_t>(begin);
  }
  cells.order.resize(kept);
  cells.cell_start.resize(kept_cells);
}

/// Brings the points of each cell into an order that has nothing to do with the scanner's, and
/// keeps the first of those at exactly the same place, which is one cell's.
void sort_without_repeats(const Scan& scan, CurveOrder& cells) {
  std::vector<std::uint8_t> dropped(cells.order.size(), 0);
  const auto place_of = [&](std::uint32_t i) { return scan.points_mm.col(i).data(); };
  const auto is_before = [&](std::uint32_t a, std::uint32_t b) {
    const double *p = place_of(a), *q = place_of(b);
    if (!std::equal(p, p + 3, q)) return std::lexicographical_compare(p, p + 3, q, q + 3);
    if (!scan.has_normals()) return a < b;
    const double *n = scan.normals.col(a).data(), *m = scan.normals.col(b).data();
    return std::lexicographical_compare(n, n + 3, m, m + 3);
  };
  for_each_index(cells.cell_start.size(), [&](std::size_t c) {
    const std::size_t begin = cells.cell_start[c], end = cells.end_of(c);
    std::sort(cells.order.begin() + static_cast<std::ptrdiff_t>(begin),
              cells.order.begin() + static_cast<std::ptrdiff_t>(end), is_before);
    for (std::size_t i = begin + 1; i < end; ++i) {
      const double* p = place_of(cells.order[i]);
      dropped[i] = std::equal(p, p + 3, place_of(cells.order[i - 1])) ? 1 : 0;
    }
  });
  take_off(dropped, cells);
}

/// Every point a cell of its own.
void make_a_cell_of_each(CurveOrder& cells) {
  cells.cell_start.resize(cells.order.size());
  std::iota(cells.cell_start.begin(), cells.cell_start.end(), 0U);
}

/// Of each cell one point, by lot: the mean of the cell would have less noise than the scan has.
/// @return #C, numbers of points
std::vector<std::uint32_t> one_of_each(const Scan& scan, const CurveOrder& cells) {
  const LotsByPlace lots(scan.points_mm);
  std::vector<std::uint32_t> out(cells.cell_start.size());
  for_each_index(out.size(), [&](std::size_t c) {
    double least = HUGE_VAL;
    for (std::size_t i = cells.cell_start[c]; i < cells.end_of(c); ++i) {
      const double lot = lots.lot(scan.points_mm.col(cells.order[i]));
      if (lot >= least) continue;
      least = lot;
      out[c] = cells.order[i];
    }
  });
  return out;
}

/// How far off a cell's point has so many others of the scan: those of its own cell are with it,
/// and the one point kept of another stands for all of that cell.
double distance_to_others_mm(const CurveOrder& cells, const PointIndex& index, const Vector3d& p,
                             std::size_t count) {
  std::size_t met = 0;
  double distance_mm = 0.0;
  for (const Neighbour& at : index.nearest(p, static_cast<int>(count) + 1)) {
    const auto c = static_cast<std::size_t>(at.index);
    met += cells.end_of(c) - cells.cell_start[c];
    distance_mm = at.distance_mm;
    if (met > count) break;
  }
  return distance_mm;
}

/// Cells whose point has its neighbours farther off than `lone_factor` times the usual distance.
/// Strays are few, so that among cells of a point each the median is the surface's. Where cells
/// hold many they may hold most of the cells: the usual distance is the edge of a cell then, within
/// which surface so dense has more than enough.
/// @param asked_mm  3 × #C, the one point kept of each cell, in the index
/// @param cell_mm   0: a cell for each point
std::vector<std::uint8_t> lone_cells(const CurveOrder& cells, const Eigen::Matrix3Xd& asked_mm,
                                     const PointIndex& index, double cell_mm,
                                     const TidySettings& settings) {
  std::vector<double> distance(cells.cell_start.size());
  const auto count = static_cast<std::size_t>(settings.neighbours);
  for_each_index(distance.size(), [&](std::size_t c) {
    const bool has_them_itself = cells.end_of(c) - cells.cell_start[c] > count;
    distance[c] = has_them_itself ? 0.0
                                  : distance_to_others_mm(
                                        cells, index, asked_mm.col(static_cast<Index>(c)), count);
  });
  std::vector<double> sorted = distance;
  const double usual_mm = cell_mm > 0.0 ? cell_mm : median_of(sorted);
  std::vector<std::uint8_t> lone(distance.size(), 0);
  for (std::size_t c = 0; c < lone.size(); ++c)
    lone[c] = distance[c] > settings.lone_factor * usual_mm ? 1 : 0;
  return lone;
}

void need_points(const Scan& scan, std::size_t count) {
  if (count >= 3) return;
  throw Error(ErrorKind::Input, scan.name,
              "expected a scan of at least 3 different points, found " + std::to_string(count),
              "Save the scan again from the scanner's program and check that it is not empty");
}

}  // namespace

Tidied tidy(const Scan& scan, const TidySettings& settings) {
  check_scan(scan);
  Tidied out;
  TidyCounts& counts = out.counts;
  counts.read = static_cast<std::size_t>(scan.size());

  const double cell_mm = thinning_cell_mm(scan.points_mm, settings.thinning);
  CurveOrder cells = curve_order(scan.points_mm, cell_mm);
  counts.not_finite = take_off_not_finite(scan, cells);
  sort_without_repeats(scan, cells);
  const std::size_t distinct = cells.order.size();
  counts.repeated = counts.read - counts.not_finite - distinct;
  need_points(scan, distinct);

  if (!(cell_mm > 0.0)) make_a_cell_of_each(cells);
  std::vector<std::uint32_t> kept = cell_mm > 0.0 ? one_of_each(scan, cells) : cells.order;
  Scan asked = only(scan, kept);
  const PointIndex index(asked.points_mm);
  const std::vector<std::uint8_t> lone =
      lone_cells(cells, asked.points_mm, index, cell_mm, settings);
  counts.kept = 0;
  for (std::size_t c = 0; c < lone.size(); ++c) {
    if (lone[c] != 0)
      counts.isolated += cells.end_of(c) - cells.cell_start[c];
    else
      kept[counts.kept++] = kept[c];
  }
  kept.resize(counts.kept);
  counts.spare = distinct - counts.isolated - counts.kept;
  need_points(scan, counts.kept);
  if (counts.isolated > 0) out.scan = only(scan, kept);
  counts.spacing_mm =
      median_spacing_mm(counts.isolated > 0 ? out.scan.points_mm : asked.points_mm, index);
  if (counts.isolated == 0) out.scan = std::move(asked);
  return out;
}

}  // namespace trammel
