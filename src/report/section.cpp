#include "trammel/report/section.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

#include "trammel/report/region_cells.hpp"

namespace trammel {
namespace {

constexpr double kSameFacing = 0.87;      ///< cells within 30° of the region's normal
constexpr double kLeastWindow = 0.14;     ///< of the part's diagonal, half the window's side
constexpr double kWindowOfRegion = 0.75;  ///< of the region's longest side
constexpr double kNearlyAll = 0.6;        ///< of the part in both directions: then all is shown

/// The two of the part's axes that lie most nearly across a direction.
std::array<int, 2> axes_across(const Eigen::Vector3d& direction) {
  int along = 0;
  direction.cwiseAbs().maxCoeff(&along);
  return {(along + 1) % 3, (along + 2) % 3};
}

/// How much the deviation changes along an axis over the face that the region is in: the size of
/// the covariance of deviation and place, weighted by area, over the spread of places.
double change_along(const Inspection& inspection, const Region& region, int axis) {
  const SurfaceMap& surface = inspection.surface;
  double weight = 0.0, x = 0.0, d = 0.0, xx = 0.0, xd = 0.0;
  for (Eigen::Index c = 0; c < surface.cells.size(); ++c) {
    const double deviation = surface.readings.deviation_mm[c];
    if (!std::isfinite(deviation)) continue;
    if (surface.cells.normal.col(c).dot(region.normal) < kSameFacing) continue;
    const Eigen::Vector3d off = surface.cells.center_mm.col(c) - region.center_mm;
    if (off.norm() > region.size_mm.norm()) continue;
    const double w = surface.cells.area_mm2[c];
    weight += w;
    x += w * off[axis];
    d += w * deviation;
    xx += w * off[axis] * off[axis];
    xd += w * off[axis] * deviation;
  }
  if (weight <= 0.0) return 0.0;
  const double spread = xx / weight - (x / weight) * (x / weight);
  const double shared = xd / weight - (x / weight) * (d / weight);
  return spread > 0.0 ? std::abs(shared) / std::sqrt(spread) : 0.0;
}

/// The axis that the cut runs along.
int axis_in_cut(const Inspection& inspection, const Region& region) {
  const std::array<int, 2> across = axes_across(region.normal);
  const double first = change_along(inspection, region, across[0]);
  const double second = change_along(inspection, region, across[1]);
  if (std::abs(first - second) > 0.1 * std::max(first, second)) {
    return first > second ? across[0] : across[1];
  }
  return region.size_mm[across[0]] > region.size_mm[across[1]] ? across[0] : across[1];
}

/// Where along the axis square to the cut the region is worst: the slice with the most deviation
/// times area, so that the cut meets the region and not a hole in its middle.
double worst_slice_mm(const Inspection& inspection, const Region& region,
                      const std::vector<Eigen::Index>& outside, const Eigen::Vector3d& square) {
  constexpr int kSlices = 15;
  const double middle = square.dot(region.center_mm);
  const double span = std::max(1e-9, square.cwiseAbs().dot(region.size_mm));
  std::array<double, kSlices> misfit{};
  const SurfaceMap& surface = inspection.surface;
  for (const Eigen::Index c : outside) {
    const double off = (square.dot(surface.cells.center_mm.col(c)) - middle) / (2.0 * span) + 0.5;
    const int slice = std::clamp(static_cast<int>(kSlices * off), 0, kSlices - 1);
    misfit[static_cast<std::size_t>(slice)] +=
        std::abs(surface.readings.deviation_mm[c]) * surface.cells.area_mm2[c];
  }
  const auto most = std::max_element(misfit.begin(), misfit.end());
  if (*most <= 0.0) return middle;
  const auto slice = static_cast<double>(most - misfit.begin());
  return middle + ((slice + 0.5) / kSlices - 0.5) * 2.0 * span;
}

/// Where the plane cuts a cell: two places with the deviation there, or nothing.
std::optional<SectionPiece> cut(const SurfaceCells& cells, const Eigen::Matrix3Xd& corners,
                                Eigen::Index c, const View& view, double plane_mm) {
  std::array<Eigen::Vector2d, 2> ends;
  std::array<double, 2> deviation{};
  std::size_t found = 0;
  for (int k = 0; k < 3 && found < 2; ++k) {
    const Eigen::Vector3d a = cells.vertices_mm.col(cells.cells(k, c));
    const Eigen::Vector3d b = cells.vertices_mm.col(cells.cells((k + 1) % 3, c));
    const double from = view.towards.dot(a) - plane_mm, to = view.towards.dot(b) - plane_mm;
    // A corner exactly on the plane counts as above it, so that every closed line stays closed.
    if ((from >= 0.0) == (to >= 0.0)) continue;
    const double t = from / (from - to);
    ends[found] = project(view, a + t * (b - a));
    deviation[found] = (1.0 - t) * corners(k, c) + t * corners((k + 1) % 3, c);
    ++found;
  }
  if (found < 2) return std::nullopt;
  return SectionPiece{ends[0], ends[1], project(view, cells.normal.col(c)), deviation[0],
                      deviation[1]};
}

bool is_inside(const FlatBox& box, const Eigen::Vector2d& point) {
  return (point.array() >= box.low.array()).all() && (point.array() <= box.high.array()).all();
}

/// The region with its surroundings; the whole part where that is not much more.
FlatBox window_around(const Inspection& inspection, const Region& region, const View& view) {
  const Box part = bounding_box(inspection.design.mesh.vertices_mm);
  const double half =
      std::max(kLeastWindow * part.diagonal_mm(), kWindowOfRegion * region.size_mm.maxCoeff());
  const double slack = 1e-6 * part.diagonal_mm();  // the outline itself is inside
  const Eigen::Vector2d center = project(view, region.center_mm);
  const FlatBox outline = outline_of(view, inspection.design.mesh.vertices_mm);
  const FlatBox whole{outline.low.array() - slack, outline.high.array() + slack};
  const FlatBox near{(center.array() - half).max(whole.low.array()),
                     (center.array() + half).min(whole.high.array())};
  const bool nearly_all =
      near.width() > kNearlyAll * whole.width() && near.height() > kNearlyAll * whole.height();
  return nearly_all ? whole : near;
}

}  // namespace

std::optional<Section> section_through(const Inspection& inspection,
                                       const Eigen::Matrix3Xd& corners, const Region& region) {
  const int along = axis_in_cut(inspection, region);
  int facing = 0;
  region.normal.cwiseAbs().maxCoeff(&facing);
  const int square = 3 - along - facing;
  Section section;
  section.view = view_from(square == 1 ? Eigen::Vector3d(-Eigen::Vector3d::UnitY())
                                       : Eigen::Vector3d(Eigen::Vector3d::Unit(square)));
  section.window = window_around(inspection, region, section.view);
  const std::vector<Eigen::Index> outside = cells_outside(inspection, region);
  section.plane_mm = worst_slice_mm(inspection, region, outside, section.view.towards);
  double worst = 0.0;
  const SurfaceCells& cells = inspection.surface.cells;
  for (Eigen::Index c = 0; c < cells.size(); ++c) {
    const auto piece = cut(cells, corners, c, section.view, section.plane_mm);
    if (!piece || !is_inside(section.window, piece->from) ||
        !is_inside(section.window, piece->to)) {
      continue;
    }
    section.pieces.push_back(*piece);
    const double deviation = 0.5 * (piece->from_mm + piece->to_mm);
    // Cells come in their order, as those outside do.
    const bool in_region = std::binary_search(outside.begin(), outside.end(), c);
    if (!in_region || !(std::abs(deviation) > std::abs(worst))) continue;
    worst = deviation;
    section.peak = 0.5 * (piece->from + piece->to);
    section.peak_outward = piece->outward;
  }
  if (worst == 0.0) return std::nullopt;
  return section;
}

}  // namespace trammel
