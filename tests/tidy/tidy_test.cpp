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

/// A scan that counts as dense, with strays and repeats in it.
Scan dense_scan() {
  Scan scan =
      scan_of_points(sample_surface(test::box({0, 0, 0}, {40, 30, 20}), 100000, Rng(5)).points_mm);
  Rng rng(9);
  for (Index i = 0; i < 300; ++i)
    scan.points_mm.col(7 * i) << rng.uniform(60, 160), rng.uniform(-90, 10), rng.uniform(30, 90);
  for (Index i = 0; i < 200; ++i)
    scan.points_mm.col(50000 + 11 * i) = scan.points_mm.col(50001 + 11 * i);
  return scan;
}

TidySettings thinned_to(double coarsest_mm) {
  TidySettings settings;
  settings.thinning = {coarsest_mm, 1000};
  return settings;
}

TEST(Tidy, ADenseScanKeepsItsPointsAndGetsCells) {
  const Scan scan = dense_scan();
  const Tidied usual = tidy(scan), dense = tidy(scan, thinned_to(0.6));
  EXPECT_TRUE(usual.scan.cell_start.empty());
  EXPECT_EQ(dense.counts.repeated, 200U);
  EXPECT_EQ(dense.counts.repeated, usual.counts.repeated);
  EXPECT_EQ(dense.counts.isolated, 300U);
  EXPECT_EQ(dense.counts.isolated, usual.counts.isolated);
  EXPECT_EQ(dense.counts.kept, usual.counts.kept);
  EXPECT_NEAR(dense.counts.spacing_mm, usual.counts.spacing_mm, 0.05 * usual.counts.spacing_mm);
}

TEST(Tidy, CellsOfADenseScanAreSmallAndHoldEveryPointOnce) {
  const Tidied dense = tidy(dense_scan(), thinned_to(0.6));
  const std::vector<std::uint32_t>& start = dense.scan.cell_start;
  ASSERT_GT(start.size(), 5000U);
  ASSERT_LT(start.size(), 40000U);
  EXPECT_EQ(start.front(), 0U);
  for (std::size_t c = 0; c < start.size(); ++c) {
    const Index end = c + 1 < start.size() ? Index(start[c + 1]) : dense.scan.size();
    ASSERT_LT(Index(start[c]), end);
    const Box box = bounding_box(dense.scan.points_mm.middleCols(start[c], end - start[c]));
    EXPECT_LE((box.high_mm - box.low_mm).maxCoeff(), 0.6);
  }
}

}  // namespace
}  // namespace trammel
