#include "trammel/changes/measure_changes.hpp"

#include <gtest/gtest.h>

#include "changes/flat_clouds.hpp"

namespace trammel {
namespace {

constexpr double kSide = 120.0;
constexpr int kPoints = 12'000;

Scan flat_scan(std::uint64_t seed, double noise_mm = 0.03) {
  Scan scan;
  scan.name = "flat.xyz";
  scan.points_mm = test::flat_points(kSide, kPoints, 0.0, noise_mm, Rng(seed));
  scan.normals = Eigen::Vector3d::UnitZ().replicate(1, kPoints);
  return scan;
}

/// A pose that is right and known to 1 µm.
ScanFit sure_fit() {
  ScanFit fit;
  fit.alignment.found = fit.alignment.converged = true;
  fit.covariance = Matrix6d::Identity() * 1e-12;
  fit.covariance.bottomRightCorner<3, 3>() = Eigen::Matrix3d::Identity() * 1e-6;
  fit.noise_mm = 0.03;
  fit.sides_known = true;
  return fit;
}

/// Raises what lies within 15 mm of the middle.
Scan raised(Scan scan, double by_mm) {
  for (Eigen::Index i = 0; i < scan.size(); ++i)
    if ((scan.points_mm.col(i).head<2>() - Eigen::Vector2d(60, 60)).norm() < 15.0)
      scan.points_mm(2, i) += by_mm;
  return scan;
}

Scan only_left_of(const Scan& scan, double x_mm) {
  std::vector<Eigen::Index> kept;
  for (Eigen::Index i = 0; i < scan.size(); ++i)
    if (scan.points_mm(0, i) < x_mm) kept.push_back(i);
  Scan out;
  out.name = scan.name;
  out.points_mm = scan.points_mm(Eigen::all, kept);
  out.normals = scan.normals(Eigen::all, kept);
  return out;
}

bool says(const Changes& changes, const std::string& words) {
  for (const std::string& reason : changes.reasons)
    if (reason.find(words) != std::string::npos) return true;
  return false;
}

TEST(MeasureChanges, NothingOnTwoScansOfOnePlane) {
  const Changes changes = measure_changes(flat_scan(1), flat_scan(2), sure_fit(), {});
  EXPECT_EQ(changes.outcome, ChangesOutcome::Unchanged);
  EXPECT_TRUE(changes.changes.empty());
  EXPECT_GT(changes.coverage.common_share(), 0.98);
  EXPECT_EQ(changes.reasons.size(), 1U);
}

TEST(MeasureChanges, APlantedOneWithItsSizeAreaAndVolume) {
  for (const double step : {0.3, -0.5, 1.0, -5.0}) {
    const Changes changes =
        measure_changes(flat_scan(3), raised(flat_scan(4), step), sure_fit(), {});
    EXPECT_EQ(changes.outcome, ChangesOutcome::Changed);
    ASSERT_EQ(changes.changes.size(), 1U) << step;
    const Change& found = changes.changes.front();
    EXPECT_EQ(found.kind, step > 0.0 ? RegionKind::Proud : RegionKind::Shy);
    // The middle of three readings of σ = 0.03 · √(2 / 25) = 0.0085.
    EXPECT_NEAR(found.peak_mm, step, 0.03);
    // The edge is a cylinder's radius wide (d = 6.2 mm) and half of it counts, either way.
    EXPECT_NEAR(found.area_mm2, 3.14159 * 225.0, 3.14159 * 30.0 * 3.1);
    EXPECT_NEAR(found.volume_mm3, step * 3.14159 * 225.0, 0.2 * std::abs(step) * 707.0);
    EXPECT_LT((found.center_mm - Eigen::Vector3d(60, 60, 0)).norm(), 5.0);
  }
}

// It may have been cut off as well: that was called unchanged.
TEST(MeasureChanges, WhatOnlyOneScanSawIsNoChange) {
  const Changes changes =
      measure_changes(flat_scan(5), only_left_of(flat_scan(6), 90.0), sure_fit(), {});
  EXPECT_EQ(changes.outcome, ChangesOutcome::Unchanged);
  EXPECT_TRUE(changes.changes.empty());
  EXPECT_NEAR(changes.coverage.only_old_mm2, 30.0 * kSide, 0.15 * 30.0 * kSide);
  const Changes turned =
      measure_changes(only_left_of(flat_scan(5), 90.0), flat_scan(6), sure_fit(), {});
  EXPECT_NEAR(turned.coverage.only_new_mm2, 30.0 * kSide, 0.15 * 30.0 * kSide);
  EXPECT_EQ(turned.outcome, ChangesOutcome::Unchanged);
  EXPECT_TRUE(turned.changes.empty());
}

TEST(MeasureChanges, TooLittleSeenAgainIsUndecidedUnlessSomethingChanged) {
  const Scan part = only_left_of(flat_scan(8), 60.0);
  const Changes little = measure_changes(flat_scan(7), part, sure_fit(), {});
  EXPECT_EQ(little.outcome, ChangesOutcome::Undecided);
  EXPECT_TRUE(says(little, "was seen again"));
  Scan moved = part;
  for (Eigen::Index i = 0; i < moved.size(); ++i)
    if (moved.points_mm(0, i) < 25.0) moved.points_mm(2, i) += 1.0;
  EXPECT_EQ(measure_changes(flat_scan(7), moved, sure_fit(), {}).outcome, ChangesOutcome::Changed);
}

TEST(MeasureChanges, NoiseAsLargeAsLeastIsUndecided) {
  ScanFit fit = sure_fit();
  fit.noise_mm = 0.4;
  const Changes changes = measure_changes(flat_scan(9, 0.4), flat_scan(10, 0.4), fit, {});
  EXPECT_EQ(changes.outcome, ChangesOutcome::Undecided);
  EXPECT_TRUE(changes.changes.empty());
  EXPECT_TRUE(says(changes, "level of detection"));
}

TEST(MeasureChanges, LargerUIsALargerLevelOfDetection) {
  ChangesSettings settings;
  settings.uncertainty_mm = 0.4;
  const Changes changes =
      measure_changes(flat_scan(11), raised(flat_scan(12), 0.3), sure_fit(), settings);
  // 1.96 · √2 · 0.2 = 0.55 mm at least: 0.3 mm is no proof any more, nor is it the contrary.
  EXPECT_GT(changes.typical_detectable_mm, 0.55);
  EXPECT_EQ(changes.outcome, ChangesOutcome::Undecided);
}

TEST(MeasureChanges, WithoutASurePoseNothingIsDecided) {
  for (int doubt = 0; doubt < 3; ++doubt) {
    ScanFit fit = sure_fit();
    if (doubt == 0) fit.alignment.doubts = {"the new scan fits as well when it is turned"};
    if (doubt == 1) fit.alignment.free_directions = {"sliding along x"};
    if (doubt == 2) fit.alignment.found = false;
    const Changes same = measure_changes(flat_scan(13), flat_scan(14), fit, {});
    EXPECT_EQ(same.outcome, ChangesOutcome::Undecided) << doubt;
    EXPECT_FALSE(same.reasons.empty());
    const Changes other = measure_changes(flat_scan(13), raised(flat_scan(14), 2.0), fit, {});
    EXPECT_EQ(other.outcome, ChangesOutcome::Undecided) << doubt;
  }
}

TEST(MeasureChanges, WithoutNormalsTheSideIsSaidToBeAGuess) {
  Scan before = flat_scan(15), after = raised(flat_scan(16), 1.0);
  before.normals.resize(3, 0);
  after.normals.resize(3, 0);
  ScanFit fit = sure_fit();
  fit.sides_known = false;
  const Changes changes = measure_changes(before, after, fit, {});
  ASSERT_EQ(changes.changes.size(), 1U);
  EXPECT_NEAR(std::abs(changes.changes.front().peak_mm), 1.0, 0.03);
  ASSERT_FALSE(changes.notes.empty());
  EXPECT_NE(changes.notes.front().find("side"), std::string::npos);
}

/// Both faces of a sheet 1.5 mm thick, `upper` of the points on the upper one where x < 60.
Scan sheet(std::uint64_t seed, double upper) {
  Scan scan = flat_scan(seed);
  Rng rng(seed + 100);
  for (Eigen::Index i = 0; i < scan.size(); ++i) {
    const double share = scan.points_mm(0, i) < 60.0 ? upper : 0.5;
    if (rng.uniform(0.0, 1.0) > share) scan.points_mm(2, i) -= 1.5;
  }
  scan.normals.resize(3, 0);
  return scan;
}

// It was "changed": other shares of the same two faces shift their mean.
TEST(MeasureChanges, OfASheetsTwoFacesIsNotCalledChangedWithoutNormals) {
  ScanFit fit = sure_fit();
  fit.sides_known = false;
  const Changes same = measure_changes(sheet(17, 0.3), sheet(18, 0.7), fit, {});
  EXPECT_EQ(same.outcome, ChangesOutcome::Undecided);
  EXPECT_TRUE(same.changes.empty());
  const Changes pushed = measure_changes(sheet(17, 0.5), raised(sheet(18, 0.5), 4.0), fit, {});
  EXPECT_EQ(pushed.outcome, ChangesOutcome::Changed);
}

}  // namespace
}  // namespace trammel
