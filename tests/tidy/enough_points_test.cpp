#include "trammel/tidy/enough_points.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "support/shapes.hpp"
#include "trammel/geometry/sample_surface.hpp"

namespace trammel {
namespace {

Scan box_scan(int points) {
  const auto sample = sample_surface(test::box({0, 0, 0}, {40, 30, 20}), points, Rng(1));
  Scan scan;
  scan.points_mm = Rng(2).rotation().toRotationMatrix() * sample.points_mm;
  scan.normals = sample.points_mm;  // to see that each stays with its point
  scan.name = "box.ply";
  return scan;
}

TEST(EnoughPoints, LeavesFewerAsTheyAre) {
  const Scan scan = box_scan(5000);
  const Scan same = enough_points(scan, 5000);
  EXPECT_EQ(same.points_mm, scan.points_mm);
  EXPECT_EQ(same.normals, scan.normals);
}

TEST(EnoughPoints, KeepsEachPointsNormalAndTheName) {
  const Scan scan = box_scan(50'000);
  const Scan fewer = enough_points(scan, 5000);
  EXPECT_NEAR(static_cast<double>(fewer.size()), 5000.0, 5.0 * std::sqrt(5000.0));  // binomial
  ASSERT_TRUE(fewer.has_normals());
  EXPECT_EQ(fewer.name, "box.ply");
  const Eigen::Matrix3d turn = Rng(2).rotation().toRotationMatrix();
  EXPECT_LT((turn * fewer.normals - fewer.points_mm).cwiseAbs().maxCoeff(), 1e-12);
}

TEST(EnoughPoints, AreSpreadOverTheWhole) {
  // The box's faces of 1,200, 800 and 600 mm² get their shares of the points, ±5 σ.
  const Scan fewer = enough_points(box_scan(200'000), 10'000);
  int on_top = 0;
  for (Eigen::Index i = 0; i < fewer.size(); ++i)
    on_top += fewer.normals(2, i) > 20.0 - 1e-9 ? 1 : 0;
  const double share = 1200.0 / 5200.0;
  const double expected = share * static_cast<double>(fewer.size());
  EXPECT_NEAR(on_top, expected, 5.0 * std::sqrt(expected * (1.0 - share)));
}

}  // namespace
}  // namespace trammel
