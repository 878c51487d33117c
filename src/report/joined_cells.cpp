#include "trammel/report/joined_cells.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

JoinedCell single(const SurfaceMap& surface, const Eigen::Matrix3Xd& corners_mm, int band,
                  Eigen::Index c) {
  JoinedCell cell;
  for (int k = 0; k < 3; ++k) {
    cell.corner[static_cast<std::size_t>(k)] = surface.cells.cells(k, c);
    cell.corner_deviation_mm[static_cast<std::size_t>(k)] = corners_mm(k, c);
  }
  cell.low_mm = cell.high_mm = surface.readings.deviation_mm[c];
  cell.triangle = surface.cells.triangle[c];
  cell.region = surface.region[c];
  cell.band = band;
  return cell;
}

bool may_join(const JoinedCell& a, const JoinedCell& b, double tolerance_mm) {
  if (a.triangle != b.triangle || a.region != b.region || a.band != b.band) return false;
  if (std::isfinite(a.low_mm) != std::isfinite(b.low_mm)) return false;
  if (!std::isfinite(a.low_mm)) return true;
  return std::max(a.high_mm, b.high_mm) - std::min(a.low_mm, b.low_mm) <= 2.0 * tolerance_mm;
}

/// How far the middle's deviation lies off the line between the ends'; 0 where unseen.
double bend(double middle, double from, double to) {
  return std::isfinite(middle) ? std::abs(middle - 0.5 * (from + to)) : 0.0;
}

/// The triangle whose halves a and b are: (from, middle, apex) and (middle, to, apex), each wound
/// alike but begun at any corner.
std::optional<JoinedCell> joined(const SurfaceCells& cells, const JoinedCell& a,
                                 const JoinedCell& b, double tolerance_mm) {
  if (!may_join(a, b, tolerance_mm)) return std::nullopt;
  for (std::size_t i = 0; i < 3; ++i) {
    const std::size_t middle_a = (i + 1) % 3, apex_a = (i + 2) % 3;
    for (std::size_t j = 0; j < 3; ++j) {
      const std::size_t to = (j + 1) % 3, apex_b = (j + 2) % 3;
      if (a.corner[middle_a] != b.corner[j] || a.corner[apex_a] != b.corner[apex_b]) continue;
      const Eigen::Vector3d from_mm = cells.vertices_mm.col(a.corner[i]);
      const Eigen::Vector3d to_mm = cells.vertices_mm.col(b.corner[to]);
      const Eigen::Vector3d middle_mm = 0.5 * (from_mm + to_mm);
      // The cut itself computed this very sum: any other triangle pair differs.
      if (middle_mm != cells.vertices_mm.col(b.corner[j])) continue;
      const double off = std::max(
          bend(a.corner_deviation_mm[middle_a], a.corner_deviation_mm[i],
               b.corner_deviation_mm[to]),
          bend(b.corner_deviation_mm[j], a.corner_deviation_mm[i], b.corner_deviation_mm[to]));
      JoinedCell both = a;
      both.corner[middle_a] = b.corner[to];
      both.corner_deviation_mm[middle_a] = b.corner_deviation_mm[to];
      both.low_mm = std::min(a.low_mm, b.low_mm);
      both.high_mm = std::max(a.high_mm, b.high_mm);
      both.corner_error_mm = off + std::max(a.corner_error_mm, b.corner_error_mm);
      if (both.corner_error_mm > tolerance_mm) return std::nullopt;
      return both;
    }
  }
  return std::nullopt;
}

}  // namespace

std::vector<int> band_indices(const Inspection& inspection) {
  const auto& zones = inspection.plan.zones;
  const SurfaceCells& cells = inspection.surface.cells;
  std::vector<int> bands(static_cast<std::size_t>(cells.size()), 0);
  if (zones.empty()) return bands;
  for_each_index(bands.size(), [&](std::size_t c) {
    const Zone* zone =
        band_at(inspection.plan, cells.center_mm.col(static_cast<Eigen::Index>(c))).zone;
    if (zone != nullptr) bands[c] = 1 + static_cast<int>(zone - zones.data());
  });
  return bands;
}

std::vector<JoinedCell> single_cells(const SurfaceMap& surface, const Eigen::Matrix3Xd& corners_mm,
                                     const std::vector<int>& bands) {
  std::vector<JoinedCell> cells(bands.size());
  for_each_index(bands.size(), [&](std::size_t c) {
    cells[c] = single(surface, corners_mm, bands[c], static_cast<Eigen::Index>(c));
  });
  return cells;
}

std::vector<JoinedCell> joined_cells(const SurfaceCells& surface, std::vector<JoinedCell> cells,
                                     double tolerance_mm) {
  std::size_t done = 0;  // the first so many are joined as far as they go
  for (std::size_t next = 0; next < cells.size(); ++next) {
    JoinedCell top = cells[next];
    // The two halves of a cut follow one another, so the last cell done is the only candidate.
    while (done > 0) {
      const auto both = joined(surface, cells[done - 1], top, tolerance_mm);
      if (!both) break;
      top = *both;
      --done;
    }
    cells[done++] = top;
  }
  cells.resize(done);
  return cells;
}

}  // namespace trammel
