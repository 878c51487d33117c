#include "trammel/tidy/tidy.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/base/error.hpp"
#include "trammel/geometry/point_index.hpp"
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

TEST(Tidy, OfADenseScanOnePointOfEachSmallCellIsKept) {
  const Scan scan = dense_scan();
  const Tidied usual = tidy(scan), dense = tidy(scan, thinned_to(0.6));
  EXPECT_EQ(usual.counts.spare, 0U);
  EXPECT_EQ(dense.counts.repeated, 200U);
  EXPECT_EQ(dense.counts.repeated, usual.counts.repeated);
  EXPECT_EQ(dense.counts.isolated, 300U);
  EXPECT_EQ(dense.counts.isolated, usual.counts.isolated);
  EXPECT_EQ(dense.counts.kept + dense.counts.spare, usual.counts.kept);
  EXPECT_EQ(dense.counts.kept, static_cast<std::size_t>(dense.scan.size()));
  // 5,200 mm² through cells of 0.36: a plane along the axes fills as many as its area holds.
  EXPECT_GT(dense.counts.kept, 13000U);
  EXPECT_LT(dense.counts.kept, 16000U);
  const PointIndex kept(dense.scan.points_mm);
  for (Index i = 0; i < usual.scan.size(); ++i) {
    EXPECT_LE(kept.nearest(usual.scan.points_mm.col(i), 1).front().distance_mm,
              0.6 * std::sqrt(3.0));
  }
  const double spacing_mm = median_spacing_mm(dense.scan.points_mm, kept);
  EXPECT_NEAR(dense.counts.spacing_mm, spacing_mm, 0.05 * spacing_mm);
}

TEST(Tidy, WhatIsKeptOfADenseScanHasTheNoiseOfTheScan) {
  constexpr double kNoise_mm = 0.05;
  Scan scan =
      scan_of_points(sample_surface(test::box({0, 0, 0}, {40, 30, 20}), 100000, Rng(5)).points_mm);
  Rng rng(3);
  for (Index i = 0; i < scan.size(); ++i)
    scan.points_mm.col(i) += kNoise_mm * Vector3d(rng.normal(), rng.normal(), rng.normal());
  const Tidied dense = tidy(scan, thinned_to(0.6));
  ASSERT_GT(dense.counts.spare, 50000U);
  double sum2 = 0.0, sum = 0.0;
  int count = 0;
  for (Index i = 0; i < dense.scan.size(); ++i) {
    const Vector3d p = dense.scan.points_mm.col(i);
    if (p.z() < 15.0 || p.x() < 1 || p.x() > 39 || p.y() < 1 || p.y() > 29) continue;
    sum += p.z() - 20.0;
    sum2 += (p.z() - 20.0) * (p.z() - 20.0);
    ++count;
  }
  ASSERT_GT(count, 2000);
  // Of n draws, the mean is within 4 σ/√n, the spread within 4 σ/√(2n).
  EXPECT_NEAR(sum / count, 0.0, 4.0 * kNoise_mm / std::sqrt(count));
  EXPECT_NEAR(std::sqrt(sum2 / count), kNoise_mm, 4.0 * kNoise_mm / std::sqrt(2.0 * count));
}

TEST(Tidy, WhereADenseScanIsSparseEveryPointIsKept) {
  Scan scan = scan_of_points(Eigen::Matrix3Xd(3, 100'400));
  scan.points_mm.leftCols(100'000) =
      sample_surface(test::box({0, 0, 0}, {40, 30, 20}), 100000, Rng(5)).points_mm;
  for (Index i = 0; i < 400; ++i)  // a shelf beside it, a point on each square millimetre
    scan.points_mm.col(100'000 + i) << 42.0 + static_cast<double>(i % 20),
        static_cast<double>(i / 20), 0.0;
  const Tidied dense = tidy(scan, thinned_to(0.6));
  ASSERT_GT(dense.counts.spare, 50000U);
  EXPECT_EQ((dense.scan.points_mm.row(0).array() > 41.0).count(), 400);
}

// A tenth of a dense scan is strays, which lie in more cells than its surface does: their own
// distances are the usual ones among cells, and none of them would be lone by those.
TEST(Tidy, OfADenseScanStraysAreTakenAwayThoughTheyFillMoreCellsThanTheSurface) {
  Scan scan = scan_of_points(Eigen::Matrix3Xd(3, 220'000));
  scan.points_mm.leftCols(200'000) =
      sample_surface(test::box({0, 0, 0}, {40, 30, 20}), 200'000, Rng(5)).points_mm;
  Rng rng(3);
  for (Index i = 200'000; i < scan.size(); ++i)
    scan.points_mm.col(i) << rng.uniform(-30, 70), rng.uniform(-25, 55), rng.uniform(-25, 45);
  const Tidied dense = tidy(scan, thinned_to(0.6));
  ASSERT_GT(dense.counts.spare, 100'000U);
  // 0.036 a mm³ are four in a ball of five cells: four in five have fewer than six others there.
  std::size_t surface = 0;
  for (Index i = 0; i < dense.scan.size(); ++i) {
    const Vector3d off =
        (dense.scan.points_mm.col(i) - Vector3d(20, 15, 10)).cwiseAbs() - Vector3d(20, 15, 10);
    surface += std::abs(off.maxCoeff()) < 1e-9 ? 1 : 0;
  }
  EXPECT_GT(surface, 13000U);
  EXPECT_GT(dense.counts.isolated, 10'000U);
}

TEST(Tidy, KeepsTheSamePointsOfADenseScanInWhateverOrderTheyCome) {
  Scan scan = dense_scan(), other = scan;
  for (Index i = 0; i < scan.size(); ++i)
    other.points_mm.col(scan.size() - 1 - i) = scan.points_mm.col(i);
  EXPECT_EQ(tidy(scan, thinned_to(0.6)).scan.points_mm,
            tidy(other, thinned_to(0.6)).scan.points_mm);
}

}  // namespace
}  // namespace trammel
