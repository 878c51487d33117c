#include "trammel/tidy/tidy.hpp"

#include <algorithm>
#include <cmath>
#include <cstdint>
#include <cstring>
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

std::uint64_t hash_of(const Eigen::Vector3d& p) {
  std::uint64_t hash = 0x9e3779b97f4a7c15ULL;
  for (int k = 0; k < 3; ++k) {
    const double value = p[k] + 0.0;  // −0 and 0 are one place
    std::uint64_t bits = 0;
    std::memcpy(&bits, &value, sizeof bits);
    hash = (hash ^ bits) * 0xff51afd7ed558ccdULL;
    hash ^= hash >> 32U;
  }
  return hash;
}

/// Keeps the first of points at exactly the same place: an open-addressing set of indices.
std::vector<Index> without_repeats(const Scan& scan, const std::vector<Index>& candidates) {
  std::size_t slots = 16;
  while (slots < 2 * candidates.size())
    slots *= 2;
  std::vector<Index> table(slots, -1);
  std::vector<Index> kept;
  kept.reserve(candidates.size());
  for (const Index i : candidates) {
    const Eigen::Vector3d p = scan.points_mm.col(i);
    std::size_t slot = hash_of(p) & (slots - 1);
    while (table[slot] >= 0 && scan.points_mm.col(table[slot]) != p)
      slot = (slot + 1) & (slots - 1);
    if (table[slot] >= 0) continue;
    table[slot] = i;
    kept.push_back(i);
  }
  return kept;
}

/// The points in the order of a curve through space: neighbours in the list are neighbours on the
/// part, so that every later stage finds its data in the cache, whatever the scanner's order was.
std::vector<Index> along_curve(const Scan& scan, const std::vector<Index>& points) {
  const std::vector<std::uint32_t> order = curve_order(scan.points_mm(Eigen::all, points));
  std::vector<Index> sorted(points.size());
  for (std::size_t i = 0; i < sorted.size(); ++i)
    sorted[i] = points[order[i]];
  return sorted;
}

/// Points whose neighbours lie no farther than `factor` times the usual distance.
std::vector<Index> without_lone(const Scan& scan, const PointIndex& index,
                                const TidySettings& settings) {
  const auto count = static_cast<std::size_t>(scan.size());
  std::vector<double> distance(count);
  for_each_index(count, [&](std::size_t i) {
    const auto found =
        index.nearest(scan.points_mm.col(static_cast<Index>(i)), settings.neighbours + 1);
    distance[i] = found.back().distance_mm;
  });
  std::vector<double> sorted = distance;
  const double limit = settings.lone_factor * median_of(sorted);
  std::vector<Index> kept;
  kept.reserve(count);
  for (std::size_t i = 0; i < count; ++i) {
    if (distance[i] <= limit) kept.push_back(static_cast<Index>(i));
  }
  return kept;
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
  const std::vector<Index> distinct = without_repeats(scan, finite);
  counts.repeated = finite.size() - distinct.size();
  need_points(scan, distinct.size());

  const Scan clean = only(scan, along_curve(scan, distinct));
  const PointIndex index(clean.points_mm);
  const std::vector<Index> close = without_lone(clean, index, settings);
  counts.isolated = distinct.size() - close.size();
  need_points(scan, close.size());

  out.scan = only(clean, close);
  counts.kept = close.size();
  // Strays are few: among them and without them, the median is the surface's.
  counts.spacing_mm = median_spacing_mm(out.scan.points_mm, index);
  return out;
}

}  // namespace trammel
