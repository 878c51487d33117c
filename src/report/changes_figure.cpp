#include "trammel/report/changes_figure.hpp"

#include <algorithm>

namespace trammel {
namespace {

constexpr std::size_t kMostNumbered = 9;
constexpr double kSpaceForBalloons = 28.0;

}  // namespace

ChangesFigure changes_figure(const Changes& changes, const Splats& splats, const View& view,
                             double width, double height, double pixels_per_unit) {
  ChangesFigure out;
  FlatBox outline = outline_of(view, splats.points_mm);
  outline.low.array() -= splats.radius_mm;
  outline.high.array() += splats.radius_mm;
  const double space = changes.changes.empty() ? 4.0 : kSpaceForBalloons;
  out.scale = std::min((width - 2.0 * space) / std::max(outline.width(), 1e-6),
                       (height - 2.0 * space) / std::max(outline.height(), 1e-6));
  const Eigen::Vector2d half(0.5 * out.scale * outline.width(), 0.5 * out.scale * outline.height());
  const Eigen::Vector2d middle(0.5 * width, 0.5 * height);
  out.place = {middle - half, middle + half};

  PictureSettings settings;
  settings.frame = outline;
  settings.mm_per_pixel = 1.0 / (out.scale * pixels_per_unit);
  out.picture = paint_splats(splats, view, settings);

  // Changes that this view does not show ask for no balloon.
  std::vector<BalloonRequest> requests;
  std::vector<std::size_t> slots;
  out.balloons.resize(changes.changes.size());
  out.anchors.assign(changes.changes.size(), Eigen::Vector2d::Zero());
  for (std::size_t i = 0; i < std::min(changes.changes.size(), kMostNumbered); ++i) {
    const Change& change = changes.changes[i];
    if (change.normal.dot(view.towards) < 0.1) continue;
    const Eigen::Vector2d flat = project(view, change.center_mm) - outline.center();
    out.anchors[i] = middle + out.scale * Eigen::Vector2d(flat.x(), -flat.y());
    requests.push_back({out.anchors[i]});
    slots.push_back(i);
  }
  const auto placed = place_balloons(requests, out.place, {{0.0, 0.0}, {width, height}});
  for (std::size_t k = 0; k < placed.size(); ++k)
    out.balloons[slots[k]] = placed[k];
  return out;
}

}  // namespace trammel
