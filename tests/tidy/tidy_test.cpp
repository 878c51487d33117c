#include "trammel/tidy/tidy.hpp"

#include <gtest/gtest.h>

#include <limits>

#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/base/error.hpp"
#include "trammel/geometry/sample_surface.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

Scan scan_of_points(const Eigen::Matrix3Xd& points) {
  Scan scan;
  scan.points_mm = points;
  scan.name = "points.xyz";
  return scan;
}

Scan box_scan() {
  return scan_of_points(sample_surface(test::box({0, 0, 0}, {40, 30, 20}), 8000, Rng(1)).points_mm);
}

TEST(Tidy, AccountsForEveryPoint) {
  Scan scan = box_scan();
  const double nan = std::numeric_limits<double>::quiet_NaN();
  scan.points_mm.col(10) << nan, 0, 0;
  scan.points_mm.col(20) << 1, std::numeric_limits<double>::infinity(), 0;
  scan.points_mm.col(30) = scan.points_mm.col(31);
  scan.points_mm.col(32) = scan.points_mm.col(31);
  scan.points_mm.col(40) << 300, 300, 300;
  const Tidied tidied = tidy(scan);
  EXPECT_EQ(tidied.counts.read, 8000U);
  EXPECT_EQ(tidied.counts.not_finite, 2U);
  EXPECT_EQ(tidied.counts.repeated, 2U);
  EXPECT_EQ(tidied.counts.isolated, 1U);
  EXPECT_EQ(tidied.counts.kept, 8000U - 5U);
  EXPECT_EQ(tidied.scan.size(), static_cast<Index>(tidied.counts.kept));
}

TEST(Tidy, KeepsAPatchOfSpatterThatStandsOffThePart) {
  Scan scan = box_scan();
  const Index before = scan.size();
  // 2 × 2 mm of surface at the scan's own spacing, 4 mm above the part.
  scan.points_mm.conservativeResize(3, before + 25);
  for (int i = 0; i < 25; ++i) {
    scan.points_mm.col(before + i) << 20 + 0.5 * (i % 5), 15 + 0.5 * (i / 5), 24;
  }
  EXPECT_EQ(tidy(scan).counts.isolated, 0U);
}

TEST(Tidy, TakesStraysAwayAndKeepsThePart) {
  test::ScannerSettings settings;
  settings.points = 20000;
  settings.stray_share = 0.05;
  const test::VirtualScan scan = test::scan_of(test::bracket(), settings, Rng(3));
  const Tidied tidied = tidy(scan.scan);
  const auto strays = static_cast<double>(scan.scan.size()) - static_cast<double>(scan.on_part);
  EXPECT_GT(static_cast<double>(tidied.counts.isolated), 0.5 * strays);
  EXPECT_LT(static_cast<double>(tidied.counts.isolated), 1.01 * strays);
}

TEST(Tidy, RefusesAScanWithoutPoints) {
  Scan scan = scan_of_points(Eigen::Matrix3Xd::Constant(3, 10, 7.0));  // ten times the same place
  try {
    (void)tidy(scan);
    FAIL() << "ten repeats of one point are no scan";
  } catch (const Error& error) {
    EXPECT_EQ(error.kind(), ErrorKind::Input);
    EXPECT_NE(std::string(error.what()).find("points.xyz"), std::string::npos);
  }
}

}  // namespace
}  // namespace trammel
