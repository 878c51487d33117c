#include "trammel/compare/beyond_walls.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/compare/compare.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector2d;
using Eigen::Vector3d;

/// What the rules make of a scan of `real` that stands on a bench, seen from above and the sides.
Deviations on_bench(const Mesh& design, const Mesh& real) {
  test::ScannerSettings settings;
  settings.points = 30000;
  settings.random_pose = false;
  settings.bench = true;
  for (const double turn : {0.0, 0.8, 1.6, 2.4, 3.2, 4.0, 4.8, 5.6})
    for (const double rise : {0.15, 0.5, 1.2})
      settings.views.emplace_back(std::cos(turn) * std::cos(rise), std::sin(turn) * std::cos(rise),
                                  std::sin(rise));
  const test::VirtualScan scan = test::scan_of(real, settings, Rng(5));
  const SurfaceIndex index(design);
  return compare(scan.scan, facing_normals(scan.scan, index, scan.T_design_scan), index,
                 scan.T_design_scan);
}

int readings_below(const Deviations& deviations, double limit_mm) {
  int out = 0;
  for (std::size_t i = 0; i < deviations.reading.size(); ++i)
    if (deviations.reading[i] == Reading::Measured &&
        deviations.signed_mm[static_cast<Index>(i)] < limit_mm)
      ++out;
  return out;
}

/// A tube that lies on its side, 13 mm in radius, 80 mm long.
Mesh tube(double wall_mm) {
  const auto circle = [](double radius_mm, double way) {
    std::vector<Vector2d> out;
    for (int k = 0; k < 96; ++k) {
      const double turn = way * 2.0 * M_PI * k / 96.0;
      out.emplace_back(radius_mm * std::cos(turn), radius_mm * std::sin(turn));
    }
    return out;
  };
  const Mesh upright = test::extrude({circle(13.0, 1.0), circle(13.0 - wall_mm, -1.0)}, 80.0);
  return test::moved(upright, Eigen::Isometry3d(Eigen::AngleAxisd(0.5 * M_PI, Vector3d::UnitX())));
}

TEST(BeyondWalls, BenchUnderATubeIsNotItsInnerFace) {
  for (const double wall_mm : {1.5, 4.0})
    EXPECT_EQ(readings_below(on_bench(tube(wall_mm), tube(wall_mm)), -0.5), 0) << wall_mm;
}

/// A plate 2 mm thick, bent down from x = 40 mm on until its end, 4 mm lower, lies on the bench.
TEST(BeyondWalls, SheetPushedThroughItsThicknessStaysShy) {
  const Mesh design = test::refined(test::plate(60, 40, 2, {}), 2.0);
  const Mesh bent = test::displaced(design, [](const Vector3d& p) {
    return Vector3d(0.0, 0.0, -0.2 * std::max(0.0, p.x() - 40.0));
  });
  const Deviations out = on_bench(design, bent);
  EXPECT_GT(readings_below(out, -2.2), 300);  // beyond the lower face
  EXPECT_GT(readings_below(out, -3.6), 50);
}

}  // namespace
}  // namespace trammel
