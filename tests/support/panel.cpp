#include "support/panel.hpp"

#include <algorithm>
#include <cmath>

#include "support/shapes.hpp"
#include "trammel/base/constants.hpp"

namespace trammel::test {
namespace {

constexpr double kPanelLength = 360.0, kPanelWidth = 220.0, kPanelFlange = 18.0;
constexpr double kPanelFold_rad = 75.0 * kDegree;

/// 1 inside `radius_mm`, 0 beyond `slope_mm` more, smooth between.
double dish(double x, double y, const Eigen::Vector2d& at, double radius_mm, double slope_mm) {
  const double t = ((Eigen::Vector2d(x, y) - at).norm() - radius_mm) / slope_mm;
  return t <= 0.0 ? 1.0 : t >= 1.0 ? 0.0 : 0.5 * (1.0 + std::cos(kPi * t));
}

double panel_height(double x, double y) {
  // Not a paraboloid: that would slide on itself.
  const double along = (x - 150.0) / 260.0, across = (y - 95.0) / 200.0;
  const double crown = 26.0 - 22.0 * along * along - 20.0 * across * across +
                       9.0 * along * along * along - 6.0 * along * across * across;
  const double beside_crease = (y - 148.0 - 0.09 * x) / 7.0;
  const double filler = 3.0 * dish(x, y, {188.0, 128.0}, 22.0, 5.0);
  const double vents =
      2.5 * (dish(x, y, {52.0, 176.0}, 7.0, 4.0) + dish(x, y, {78.0, 182.0}, 7.0, 4.0));
  return crown + 3.5 * std::exp(-beside_crease * beside_crease) - filler - vents;
}

/// How far the flange is bent at y: all of it in the middle third, nothing at the ends.
double bend_share(double y) {
  const double t = std::abs(y - 0.5 * kPanelWidth) / kPanelWidth;  // 0 … ½
  return std::clamp((0.30 - t) / 0.14, 0.0, 1.0);
}

Eigen::Vector3d skin(double x, double y, double bend_rad) {
  if (x >= 0.0) return {x, y, panel_height(x, y)};
  const double fold = kPanelFold_rad - bend_rad * bend_share(y);
  return Eigen::Vector3d(0.0, y, panel_height(0.0, y)) -
         x * Eigen::Vector3d(-std::cos(fold), 0.0, -std::sin(fold));
}

Eigen::Vector3d normal_at(double x, double y, double bend_rad) {
  const double step = 1e-3, side = x < 0.0 ? -step : step;
  const Eigen::Vector3d along = (skin(x + side, y, bend_rad) - skin(x, y, bend_rad)) / side;
  const Eigen::Vector3d across =
      (skin(x, y + step, bend_rad) - skin(x, y - step, bend_rad)) / (2 * step);
  return along.cross(across).normalized();
}

double pushed(const PanelOptions& options, double x, double y) {
  double sum = 0.0;
  for (const Push& push : options.pushes) {
    const double t = (Eigen::Vector2d(x, y) - push.at_mm).norm() / push.radius_mm;
    if (t >= 1.0) continue;
    sum += push.height_mm * (t <= 0.5 ? 1.0 : 0.5 * (1.0 + std::cos(2.0 * kPi * (t - 0.5))));
  }
  return sum;
}

bool is_cut_out(double x, double y) {
  const bool arch = Eigen::Vector2d(x - 236.0, y + 22.0).norm() < 78.0;
  const bool corner = (x - 300.0) / 60.0 + (y - 175.0) / 45.0 > 1.0;
  return arch || corner;
}

/// Stands on the skin around (128, 60): a plate, and an upright at one of its ends.
Mesh bracket_on_panel() {
  const Eigen::Vector3d foot = on_wing_panel(128.0, 60.0);
  const Eigen::Vector3d low = foot + Eigen::Vector3d(-22.0, -14.0, -3.0);
  const Mesh base = box(low, foot + Eigen::Vector3d(22.0, 14.0, 4.0));
  const Mesh upright =
      box(foot + Eigen::Vector3d(18.0, -14.0, 3.0), foot + Eigen::Vector3d(22.0, 14.0, 26.0));
  return together({base, upright});
}

}  // namespace

Eigen::Vector3d on_wing_panel(double x, double y) {
  return skin(x, y, 0.0);
}

Mesh wing_panel(const PanelOptions& options) {
  const double step = options.grid_mm;
  const auto columns = static_cast<int>(std::lround((kPanelLength + kPanelFlange) / step));
  const auto rows = static_cast<int>(std::lround(kPanelWidth / step));
  Mesh mesh;
  mesh.name = "wing-panel";
  mesh.vertices_mm.resize(3, static_cast<Eigen::Index>(columns + 1) * (rows + 1));
  const auto place = [&](int i, int j) {
    return Eigen::Vector2d(-kPanelFlange + i * step, j * step);
  };
  const auto vertex = [&](int i, int j) { return i * (rows + 1) + j; };
  for (int i = 0; i <= columns; ++i)
    for (int j = 0; j <= rows; ++j) {
      const Eigen::Vector2d at = place(i, j);
      const double x = at.x(), y = at.y(), bend = options.flange_bend_rad;
      mesh.vertices_mm.col(vertex(i, j)) =
          skin(x, y, bend) + pushed(options, x, y) * normal_at(x, y, bend);
    }
  std::vector<Eigen::Vector3i> triangles;
  for (int i = 0; i < columns; ++i)
    for (int j = 0; j < rows; ++j) {
      const Eigen::Vector2d middle = 0.5 * (place(i, j) + place(i + 1, j + 1));
      if (is_cut_out(middle.x(), middle.y())) continue;
      const int a = vertex(i, j), b = vertex(i + 1, j), c = vertex(i + 1, j + 1),
                d = vertex(i, j + 1);
      triangles.emplace_back(a, b, c);
      triangles.emplace_back(a, c, d);
    }
  mesh.triangles.resize(3, static_cast<Eigen::Index>(triangles.size()));
  for (std::size_t t = 0; t < triangles.size(); ++t)
    mesh.triangles.col(static_cast<Eigen::Index>(t)) = triangles[t];
  return options.bracket ? together({mesh, bracket_on_panel()}) : mesh;
}

std::vector<Eigen::Vector3d> panel_views() {
  std::vector<Eigen::Vector3d> views;
  for (const double tilt_deg : {15.0, 40.0, 62.0})
    for (int k = 0; k < 8; ++k) {
      const double tilt = tilt_deg * kDegree, turn = 2.0 * kPi * (k + tilt) / 8.0;
      views.emplace_back(std::sin(tilt) * std::cos(turn), std::sin(tilt) * std::sin(turn),
                         std::cos(tilt));
    }
  return views;
}

}  // namespace trammel::test
