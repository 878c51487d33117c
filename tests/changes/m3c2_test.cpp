#include "trammel/changes/m3c2.hpp"

#include <gtest/gtest.h>

#include <limits>

#include "changes/flat_clouds.hpp"

namespace trammel {
namespace {

const Eigen::Matrix3Xd kNoNormals(3, 0);
const Eigen::Vector3d kUp = Eigen::Vector3d::UnitZ();

M3c2Settings cylinder(double width, double depth) {
  M3c2Settings out;
  out.cylinder_mm = width;
  out.depth_mm = depth;
  out.layer_gap_mm = 0.5;
  return out;
}

/// Twenty points in a ring of 1 mm, alternately `spread` above and below z.
Eigen::Matrix3Xd ring(double z, double spread) {
  Eigen::Matrix3Xd points(3, 20);
  for (int i = 0; i < 20; ++i)
    points.col(i) << std::cos(i * 0.314), std::sin(i * 0.314), z + (i % 2 == 0 ? spread : -spread);
  return points;
}

TEST(M3c2, LevelOfDetectionIsTheFormulas) {
  // σ₁ = σ₂ = 0.05, n = 20 each, registration 0.02: 1.96 · (√(2 · 0.05² / 20) + 0.02) = 0.07019
  // [REFERENCE §8, computed from Lague et al. 2013, eq. 1].
  const Eigen::Matrix3Xd before = ring(0.0, 0.05), after = ring(0.3, 0.05);
  const PointIndex a(before), b(after);
  const auto reading = m3c2({before, kNoNormals, a}, {after, kNoNormals, b}, {0, 0, 0}, kUp, 0.02,
                            cylinder(4.0, 5.0));
  ASSERT_TRUE(reading);
  EXPECT_NEAR(reading->change_mm, 0.3, 1e-12);
  EXPECT_NEAR(reading->before.spread_mm, 0.05, 1e-12);
  EXPECT_NEAR(reading->detectable_mm, 0.07019, 1e-5);
  EXPECT_TRUE(reading->is_significant());
}

TEST(M3c2, FindsALayerFarUpTheAxisAsTheWholeCylinderDoes) {
  const Eigen::Matrix3Xd before = ring(0.0, 0.05), after = ring(17.3, 0.05);
  const PointIndex a(before), b(after);
  M3c2Settings whole = cylinder(4.0, 20.0);
  whole.layer_gap_mm = std::numeric_limits<double>::infinity();
  for (const M3c2Settings& how : {cylinder(4.0, 20.0), whole}) {
    const auto reading =
        m3c2({before, kNoNormals, a}, {after, kNoNormals, b}, {0, 0, 0}, kUp, 0.0, how);
    ASSERT_TRUE(reading);
    EXPECT_NEAR(reading->change_mm, 17.3, 1e-12);
  }
  EXPECT_FALSE(m3c2({before, kNoNormals, a}, {after, kNoNormals, b}, {0, 0, 0}, kUp, 0.0,
                    cylinder(4.0, 15.0)));
}

TEST(M3c2, TakesTheNearerOfTwoLayers) {
  const Eigen::Matrix3Xd before = ring(0.0, 0.05);
  Eigen::Matrix3Xd after(3, 40);
  after << ring(-0.8, 0.05), ring(2.5, 0.05);
  const PointIndex a(before), b(after);
  const auto reading = m3c2({before, kNoNormals, a}, {after, kNoNormals, b}, {0, 0, 0}, kUp, 0.0,
                            cylinder(4.0, 5.0));
  ASSERT_TRUE(reading);
  EXPECT_NEAR(reading->change_mm, -0.8, 1e-12);
  EXPECT_EQ(reading->after.points, 20);
}

TEST(M3c2, SurfaceThatWasThereBeforeIsNoChangeOfAnother) {
  // The old scan shows a floor and a shelf above it; the new one the shelf alone: the floor was not
  // seen again. To read "3 mm proud" would be the worst of answers.
  Eigen::Matrix3Xd before(3, 40);
  before << ring(0.0, 0.05), ring(3.0, 0.05);
  const Eigen::Matrix3Xd after = ring(3.0, 0.05);
  const PointIndex a(before), b(after);
  EXPECT_FALSE(m3c2({before, kNoNormals, a}, {after, kNoNormals, b}, {0, 0, 0}, kUp, 0.0,
                    cylinder(4.0, 5.0)));
}

TEST(M3c2, TheOtherFaceOfASheetIsNotTakenForThisOne) {
  const Eigen::Matrix3Xd before = ring(0.0, 0.05), after = ring(-1.5, 0.05);
  const Eigen::Matrix3Xd up = kUp.replicate(1, 20), down = -up;
  const PointIndex a(before), b(after);
  M3c2Settings how = cylinder(4.0, 5.0);
  how.least_facing = 0.5;
  how.sides_known = true;
  EXPECT_FALSE(m3c2({before, up, a}, {after, down, b}, {0, 0, 0}, kUp, 0.0, how));
  EXPECT_TRUE(m3c2({before, up, a}, {after, up, b}, {0, 0, 0}, kUp, 0.0, how));
}

TEST(M3c2, TooFewPointsGiveNoReading) {
  const Eigen::Matrix3Xd before = ring(0.0, 0.05), after = ring(0.0, 0.05).leftCols(7);
  const PointIndex a(before), b(after);
  EXPECT_FALSE(m3c2({before, kNoNormals, a}, {after, kNoNormals, b}, {0, 0, 0}, kUp, 0.0,
                    cylinder(4.0, 5.0)));
}

TEST(M3c2, FalseAlarmsComeAtFivePercent) {
  // Cylinders that share no points. The published bound takes σ for known: of 25 + 25 values with
  // σ by ÷ n, Student's t (48 degrees) puts 6.1 % outside 1.96 · √(24/25); fewer points, more. The
  // count of 1,200 such trials has σ = 0.7 %: 3 σ about 6.1 %.
  const double side = 420.0;
  const int count = 2 * 25 * 1200 / 2;
  const double cylinder_mm = 2.0 * std::sqrt(25.0 / (count / (side * side)) / 3.14159265);
  const Eigen::Matrix3Xd before = test::flat_points(side, count, 0.0, 0.05, Rng(11));
  const Eigen::Matrix3Xd after = test::flat_points(side, count, 0.0, 0.05, Rng(12));
  const PointIndex a(before), b(after);
  int alarms = 0, trials = 0;
  for (double x = cylinder_mm; x < side - cylinder_mm; x += cylinder_mm)
    for (double y = cylinder_mm; y < side - cylinder_mm; y += cylinder_mm) {
      const auto reading = m3c2({before, kNoNormals, a}, {after, kNoNormals, b}, {x, y, 0}, kUp,
                                0.0, cylinder(cylinder_mm, 2.0));
      ASSERT_TRUE(reading);
      ++trials;
      alarms += reading->is_significant() ? 1 : 0;
    }
  const double rate = static_cast<double>(alarms) / trials;
  RecordProperty("rate", std::to_string(rate));
  EXPECT_GT(trials, 800);
  EXPECT_NEAR(rate, 0.061, 3.0 * std::sqrt(0.061 * 0.939 / trials));
}

TEST(M3c2, KnowsASplitCylinderAndWhatItCannotTell) {
  M3c2Reading reading;
  reading.before = {0.0, 0.75, 25, 1.5, 1.4};
  reading.after = {0.6, 0.6, 25, 1.5, 1.4};
  reading.change_mm = 0.6;
  EXPECT_TRUE(reading.may_be_two_faces());
  reading.change_mm = 1.6;
  EXPECT_FALSE(reading.may_be_two_faces()) << "farther than the faces lie apart";
  reading.change_mm = 0.6;
  reading.before.split_mm = reading.after.split_mm = 0.3;
  EXPECT_FALSE(reading.may_be_two_faces()) << "a slope";
}

}  // namespace
}  // namespace trammel
