#include "trammel/report/close_view.hpp"

#include <algorithm>
#include <vector>

#include "trammel/report/region_cells.hpp"

namespace trammel {
namespace {

constexpr double kSquareIsEnough = 0.75;  ///< of what the best direction shows
constexpr double kGrazingCosine = 0.15;   ///< flatter than that shows nothing
constexpr std::size_t kSamples = 150;     ///< cells that stand for the region
constexpr double kAround = 2.0;           ///< frame to what is seen of the region
constexpr double kLeastFrame = 0.12;      ///< of the part's diagonal
constexpr double kWholePart = 1.04;       ///< of its outline
constexpr double kNearlyAll = 0.7;        ///< of that: then all is shown, alike for all its regions

using Cells = std::vector<Eigen::Index>;

Cells sample_of(const Inspection& inspection, const Region& region) {
  const Cells all = cells_outside(inspection, region);
  Cells sample;
  const std::size_t stride = std::max<std::size_t>(1, all.size() / kSamples);
  for (std::size_t i = 0; i < all.size(); i += stride)
    sample.push_back(all[i]);
  return sample;
}

/// Those of the cells that a viewer sees.
Cells seen_of(const SurfaceCells& cells, const Cells& sample, const View& view,
              const SurfaceRays& rays) {
  Cells seen;
  for (const Eigen::Index c : sample) {
    const Eigen::Vector3d normal = cells.normal.col(c);
    if (normal.dot(view.towards) < kGrazingCosine) continue;
    if (rays.is_clear(cells.center_mm.col(c), normal, view.towards)) seen.push_back(c);
  }
  return seen;
}

/// Area as it appears in the picture.
double shown_mm2(const SurfaceCells& cells, const Cells& seen, const View& view) {
  double sum = 0.0;
  for (const Eigen::Index c : seen)
    sum += cells.area_mm2[c] * cells.normal.col(c).dot(view.towards);
  return sum;
}

FlatBox box_of(const SurfaceCells& cells, const Cells& seen, const View& view) {
  const Eigen::Vector2d first = project(view, cells.center_mm.col(seen.front()));
  FlatBox box{first, first};
  for (const Eigen::Index c : seen) {
    const Eigen::Vector2d place = project(view, cells.center_mm.col(c));
    box.low = box.low.cwiseMin(place);
    box.high = box.high.cwiseMax(place);
  }
  return box;
}

/// The seen cell nearest to the middle of what is seen.
Eigen::Vector2d anchor_of(const SurfaceCells& cells, const Cells& seen, const View& view,
                          const Eigen::Vector2d& middle) {
  Eigen::Vector2d nearest = project(view, cells.center_mm.col(seen.front()));
  for (const Eigen::Index c : seen) {
    const Eigen::Vector2d place = project(view, cells.center_mm.col(c));
    if ((place - middle).norm() < (nearest - middle).norm()) nearest = place;
  }
  return nearest;
}

FlatBox frame_around(const FlatBox& region, const FlatBox& part, double least_mm, double shape) {
  // As wide as needed for both sides, but no wider than the whole part needs.
  const double wanted =
      std::max({kAround * region.width(), kAround * region.height() / shape, least_mm});
  const double whole = kWholePart * std::max(part.width(), part.height() / shape);
  const double width = wanted > kNearlyAll * whole ? whole : wanted;
  const Eigen::Vector2d half(0.5 * width, 0.5 * width * shape);
  // Where the frame is as large as the part, the part is in its middle; elsewhere it does not reach
  // beyond the part's border by more than it must.
  Eigen::Vector2d middle = region.center();
  for (int k = 0; k < 2; ++k) {
    const double slack = 0.5 * (kWholePart - 1.0) * (part.high[k] - part.low[k]);
    const double low = part.low[k] - slack + half[k], high = part.high[k] + slack - half[k];
    middle[k] = low > high ? part.center()[k] : std::clamp(middle[k], low, high);
  }
  return {middle - half, middle + half};
}

}  // namespace

std::optional<CloseView> close_view(const Inspection& inspection, const Region& region,
                                    const SurfaceRays& rays, double shape) {
  const SurfaceCells& cells = inspection.surface.cells;
  const Cells sample = sample_of(inspection, region);
  CloseView best;
  Cells seen;
  double most = 0.0;
  const auto consider = [&](const View& view, double advantage) {
    Cells here = seen_of(cells, sample, view, rays);
    const double shown = advantage * shown_mm2(cells, here, view);
    if (shown <= most) return;
    most = shown;
    best.view = view;
    seen = std::move(here);
  };
  if (region.normal.norm() > 0.5) consider(view_from(region.normal), 1.0 / kSquareIsEnough);
  for (const View& view : all_views())
    consider(view, 1.0);
  if (seen.empty()) return std::nullopt;
  const FlatBox shown = box_of(cells, seen, best.view);
  const Eigen::Matrix3Xd& corners = inspection.design.mesh.vertices_mm;
  best.frame = frame_around(shown, outline_of(best.view, corners),
                            kLeastFrame * bounding_box(corners).diagonal_mm(), shape);
  best.anchor = anchor_of(cells, seen, best.view, shown.center());
  return best;
}

}  // namespace trammel
