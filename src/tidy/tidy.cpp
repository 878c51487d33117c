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
#include "trammel/geometry/curve_order.hpp"
#include "trammel/geometry/point_index.hpp"

namespace trammel {
namespace {

using Eigen::Index;

Scan only(const Scan& scan, const std::vector<Index>& kept) {
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

std::vector<Index> finite_points(const Scan& scan) {
  std::vector<Index> kept;
  kept.reserve(static_cast<std::size_t>(scan.size()));
  for (Index i = 0; i < scan.size(); ++i) {
    if (scan.points_mm.col(i).allFinite()) kept.push_back(i);
  }
  return kept;
}

/// Numbers of points in the order of a curve through space, cell by cell: neighbours in the list
/// are neighbours on the part, so that every later stage finds its data in the cache, whatever the
/// scanner's order was.
struct Cells {
  std::vector<Index> points;
  std::vector<std::uint32_t> start;  ///< #C, where in `points` each cell begins

  [[nodiscard]] std::size_t end_of(std::size_t cell) const {
    return static_cast<std::size_t>(cell_end(start, cell, static_cast<Index>(points.size())));
  }
};

Cells along_curve(const Scan& scan, const std::vector<Index>& points, double cell_mm) {
  CurveOrder curve = curve_order(scan.points_mm(Eigen::all, points), cell_mm);
  Cells out;
  out.start = std::move(curve.cell_start);
  out.points.resize(points.size());
  for_each_index(points.size(), [&](std::size_t i) { out.points[i] = points[curve.order[i]]; });
  return out;
}

/// What is kept of the cells; those left empty go.
Cells without(const std::vector<std::uint8_t>& dropped, const Cells& cells) {
  Cells out;
  out.points.reserve(cells.points.size());
  for (std::size_t c = 0; c < cells.start.size(); ++c) {
    const auto begin = static_cast<std::uint32_t>(out.points.size());
    for (std::size_t i = cells.start[c]; i < cells.end_of(c); ++i)
      if (dropped[i] == 0) out.points.push_back(cells.points[i]);
    if (out.points.size() > begin) out.start.push_back(begin);
  }
  return out;
}

/// Brings the points of each cell into an order that has nothing to do with the scanner's, and
/// keeps the first of those at exactly the same place, which is one cell's.
Cells sorted_without_repeats(const Scan& scan, Cells cells) {
  std::vector<std::uint8_t> dropped(cells.points.size(), 0);
  const auto place_of = [&](Index i) { return scan.points_mm.col(i).data(); };
  const auto is_before = [&](Index a, Index b) {
    const double *p = place_of(a), *q = place_of(b);
    if (!std::equal(p, p + 3, q)) return std::lexicographical_compare(p, p + 3, q, q + 3);
    if (!scan.has_normals()) return a < b;
    const double *n = scan.normals.col(a).data(), *m = scan.normals.col(b).data();
    return std::lexicographical_compare(n, n + 3, m, m + 3);
  };
  for_each_index(cells.start.size(), [&](std::size_t c) {
    const std::size_t begin = cells.start[c], end = cells.end_of(c);
    std::sort(cells.points.begin() + static_cast<std::ptrdiff_t>(begin),
              cells.points.begin() + static_cast<std::ptrdiff_t>(end), is_before);
    for (std::size_t i = begin + 1; i < end; ++i) {
      const double* p = place_of(cells.points[i]);
      dropped[i] = std::equal(p, p + 3, place_of(cells.points[i - 1])) ? 1 : 0;
    }
  });
  return without(dropped, cells);
}

/// Points whose neighbours lie farther off than `factor` times the usual distance. One point of
/// each cell is asked for all of it; in a cell of many none is lone.
/// @param asked  #C, in the index
std::vector<std::uint8_t> lone_points(const Scan& scan, const Cells& cells,
                                      const std::vector<int>& asked, const PointIndex& index,
                                      const TidySettings& settings) {
  std::vector<double> distance(asked.size());
  for_each_index(asked.size(), [&](std::size_t c) {
    const auto found = index.nearest(scan.points_mm.col(asked[c]), settings.neighbours + 1);
    distance[c] = found.back().distance_mm;
  });
  std::vector<double> sorted = distance;
  const double limit = settings.lone_factor * median_of(sorted);
  std::vector<std::uint8_t> lone(cells.points.size(), 0);
  for (std::size_t c = 0; c < asked.size(); ++c) {
    const std::size_t begin = cells.start[c], end = cells.end_of(c);
    if (distance[c] <= limit || end - begin > static_cast<std::size_t>(settings.neighbours))
      continue;
    std::fill(lone.begin() + static_cast<std::ptrdiff_t>(begin),
              lone.begin() + static_cast<std::ptrdiff_t>(end), 1);
  }
  return lone;
}

/// Every point a cell of its own.
Cells cell_each(Index count) {
  Cells out;
  out.points.resize(static_cast<std::size_t>(count));
  std::iota(out.points.begin(), out.points.end(), Index{0});
  out.start.resize(out.points.size());
  std::iota(out.start.begin(), out.start.end(), 0U);
  return out;
}

/// As `median_spacing_mm`, where only one point of each cell is in the index: the nearest neighbour
/// of a point lies in one of the cells about it.
double dense_spacing_mm(const Scan& scan, const PointIndex& index) {
  constexpr Index kMostPoints = 4000;
  constexpr int kCellsAbout = 12;
  const Index count = std::min(scan.size(), kMostPoints);
  std::vector<double> spacing(static_cast<std::size_t>(count), HUGE_VAL);
  for_each_index(spacing.size(), [&](std::size_t k) {
    const Index at = static_cast<Index>(k) * scan.size() / count;
    for (const Neighbour& cell : index.nearest(scan.points_mm.col(at), kCellsAbout)) {
      const auto after = std::upper_bound(scan.cell_start.begin(), scan.cell_start.end(),
                                          static_cast<std::uint32_t>(cell.index));
      const auto number = static_cast<std::size_t>(after - scan.cell_start.begin()) - 1;
      for (Index i = scan.cell_start[number]; i < cell_end(scan.cell_start, number, scan.size());
           ++i) {
        if (i == at) continue;
        spacing[k] = std::min(spacing[k], (scan.points_mm.col(i) - scan.points_mm.col(at)).norm());
      }
    }
  });
  return median_of(spacing);
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

  const std::vector<Index> finite = finite_points(scan);
  counts.not_finite = counts.read - finite.size();
  const double cell_mm = thinning_cell_mm(scan.points_mm, settings.thinning);
  const Cells distinct = sorted_without_repeats(scan, along_curve(scan, finite, cell_mm));
  counts.repeated = finite.size() - distinct.points.size();
  need_points(scan, distinct.points.size());

  Scan clean = only(scan, distinct.points);
  Cells cells = cell_each(clean.size());
  const bool dense = cell_mm > 0.0;
  if (dense) cells.start = clean.cell_start = distinct.start;
  const std::vector<int> asked = representatives(clean.points_mm, cells.start);
  const PointIndex index(clean.points_mm, dense ? asked : std::vector<int>{});
  // Strays are few: among them and without them, the median is the surface's.
  counts.spacing_mm =
      dense ? dense_spacing_mm(clean, index) : median_spacing_mm(clean.points_mm, index);
  Cells close = without(lone_points(clean, cells, asked, index, settings), cells);
  counts.kept = close.points.size();
  counts.isolated = distinct.points.size() - counts.kept;
  need_points(scan, counts.kept);

  out.scan = counts.isolated == 0 ? std::move(clean) : only(clean, close.points);
  if (dense) out.scan.cell_start = std::move(close.start);
  return out;
}

}  // namespace trammel
