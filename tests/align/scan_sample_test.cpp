#include "trammel/align/scan_sample.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "support/shapes.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/geometry/sample_surface.hpp"

namespace trammel {
namespace {

/// Points of a 100 × 100 plate's faces with noise along the normals.
Scan noisy_plate(std::size_t count, double noise_mm, Rng rng) {
  const auto samples = sample_surface(test::box({0, 0, 0}, {100, 100, 20}), count, rng.stream("s"));
  Rng noise = rng.stream("n");
  Scan scan;
  scan.points_mm = samples.points_mm;
  for (Eigen::Index i = 0; i < scan.size(); ++i)
    scan.points_mm.col(i) += noise_mm * noise.normal() * samples.normals.col(i);
  scan.normals = samples.normals;
  return scan;
}

Scan joined(const Scan& a, const Scan& b) {
  Scan scan;
  scan.points_mm.resize(3, a.size() + b.size());
  scan.points_mm << a.points_mm, b.points_mm;
  scan.normals.resize(3, a.size() + b.size());
  scan.normals << a.normals, b.normals;
  return scan;
}

TEST(SampleScan, KeepsAboutTheCountAskedFor) {
  const ScanSample sample = sample_scan(noisy_plate(60000, 0.02, Rng(1)), 10000, Rng(2));
  EXPECT_GT(sample.size(), 9000);
  EXPECT_LT(sample.size(), 12000);
  EXPECT_TRUE(sample.oriented);
}

TEST(SampleScan, TakesAllOfASmallScan) {
  const ScanSample sample = sample_scan(noisy_plate(500, 0.02, Rng(1)), 10000, Rng(2));
  EXPECT_GT(sample.size(), 490);  // one or two may look like strays by chance
  EXPECT_LE(sample.size(), 500);
}

TEST(SampleScan, CountsAStretchThatWasScannedTenTimesOnce) {
  Scan half = noisy_plate(50000, 0.02, Rng(3));
  std::vector<Eigen::Index> left;
  for (Eigen::Index i = 0; i < half.size(); ++i)
    if (half.points_mm(0, i) < 50.0) left.push_back(i);
  Scan dense;
  dense.points_mm.resize(3, static_cast<Eigen::Index>(left.size()));
  dense.normals.resize(3, dense.size());
  for (std::size_t i = 0; i < left.size(); ++i) {
    dense.points_mm.col(static_cast<Eigen::Index>(i)) = half.points_mm.col(left[i]);
    dense.normals.col(static_cast<Eigen::Index>(i)) = half.normals.col(left[i]);
  }
  const Scan scan = joined(joined(noisy_plate(30000, 0.02, Rng(4)), dense), dense);
  const ScanSample sample = sample_scan(scan, 8000, Rng(5));
  const auto on_left = static_cast<double>((sample.points_mm.row(0).array() < 50.0).count());
  // The left half holds 65,000 of 80,000 points, 0.81 of them, but half of the cells; a cell that
  // few points fall on may stay empty on the right (15,000 points on 4,000 cells: e⁻³·⁸ = 2 %).
  EXPECT_NEAR(on_left / static_cast<double>(sample.size()), 0.5, 0.03);
  double share_left = 0.0;
  for (Eigen::Index i = 0; i < sample.size(); ++i)
    share_left += sample.points_mm(0, i) < 50.0 ? sample.share[i] : 0.0;
  EXPECT_NEAR(share_left / sample.share.sum(), 0.5, 0.03);
}

/// The lower third of it alone was scanned densely, the rest thirty times as coarsely.
TEST(SampleScan, KeepsFacesThatWereScannedThirtyTimesAsCoarsely) {
  const Scan all = noisy_plate(180000, 0.02, Rng(5));
  std::vector<Eigen::Index> chosen;
  for (Eigen::Index i = 0; i < all.size(); ++i)
    if (all.points_mm(0, i) < 33.0 || i % 30 == 0) chosen.push_back(i);
  Scan scan;
  scan.points_mm = all.points_mm(Eigen::all, chosen);
  scan.normals = all.normals(Eigen::all, chosen);
  const ScanSample sample = sample_scan(scan, 20000, Rng(6));
  const auto coarse = (sample.points_mm.row(0).array() >= 34.0).count();
  const auto scanned = std::count_if(chosen.begin(), chosen.end(),
                                     [&](Eigen::Index i) { return all.points_mm(0, i) >= 34.0; });
  EXPECT_GT(coarse, 7 * scanned / 10);  // along edges they lie in no one plane
  EXPECT_LE(sample.share.sum(), 1.0 + 1e-12);
}

TEST(SampleScan, EstimatesTheNoiseAcrossTheSurface) {
  for (const double noise_mm : {0.02, 0.1}) {
    const ScanSample sample = sample_scan(noisy_plate(60000, noise_mm, Rng(6)), 10000, Rng(7));
    // The plane through 9 points follows the noise a little: within a fifth is what it is for.
    EXPECT_NEAR(sample.noise_mm, noise_mm, 0.2 * noise_mm);
  }
}

TEST(SampleScan, LeavesStraysOut) {
  Rng rng(8);
  Scan strays;
  strays.points_mm.resize(3, 6000);
  strays.normals.resize(3, 6000);
  for (Eigen::Index i = 0; i < 6000; ++i) {
    strays.points_mm.col(i) =
        Eigen::Vector3d(rng.uniform(-50, 150), rng.uniform(-50, 150), rng.uniform(40, 200));
    strays.normals.col(i) = rng.direction();
  }
  const Scan scan = joined(noisy_plate(40000, 0.02, Rng(9)), strays);
  const ScanSample sample = sample_scan(scan, 10000, Rng(10));
  EXPECT_EQ((sample.points_mm.row(2).array() > 30.0).count(), 0);
  EXPECT_NEAR(sample.share.sum(), 40.0 / 46.0, 0.01);
}

TEST(SampleScan, EstimatesNormalsWhereThereAreNone) {
  Scan scan = noisy_plate(40000, 0.0, Rng(11));
  scan.normals.resize(3, 0);
  const ScanSample sample = sample_scan(scan, 8000, Rng(12));
  EXPECT_FALSE(sample.oriented);
  Eigen::Index inside = 0, square = 0;
  for (Eigen::Index i = 0; i < sample.size(); ++i) {
    const Eigen::Vector3d p = sample.points_mm.col(i);
    if (p.z() < 19.999 || p.x() < 10 || p.x() > 90 || p.y() < 10 || p.y() > 90) continue;
    ++inside;
    if (std::abs(sample.normals(2, i)) > 0.999) ++square;
  }
  ASSERT_GT(inside, 1000);
  EXPECT_EQ(square, inside);
}

TEST(SampleScan, GivesTheSameBitsOnAnyThreadCount) {
  Scan scan = noisy_plate(30000, 0.02, Rng(13));
  scan.normals.resize(3, 0);
  const auto once = [&](int threads) {
    const ThreadLimit limit(threads);
    return sample_scan(scan, 5000, Rng(14));
  };
  const ScanSample one = once(1), four = once(4);
  EXPECT_EQ(one.points_mm, four.points_mm);
  EXPECT_EQ(one.normals, four.normals);
}

}  // namespace
}  // namespace trammel
