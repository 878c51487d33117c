#include "trammel/geometry/measure_mate.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "support/shapes.hpp"
#include "support/solid_builder.hpp"
#include "support/virtual_scanner.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector2d;
using Eigen::Vector3d;

/// A frame of 120 × 80 × 6 mm with a hole of 6.8 mm at (30, 20) and a stud of 8 mm, 15 mm high, at
/// (90, 50).
Mesh frame() {
  const Vector3d up = Vector3d::UnitZ();
  const test::Loop outline{{0, 0, 0}, {120, 0, 0}, {120, 80, 0}, {0, 80, 0}};
  const test::Loop rim = test::circle({30, 20, 0}, up, 6.8, 64);
  const test::Loop foot = test::circle({90, 50, 6}, up, 8.0, 64);
  test::SolidBuilder solid;
  solid.wall(outline, 6 * up);
  solid.hole_wall(rim, 6 * up);
  solid.face({outline, rim}, -up);
  solid.face({test::shifted(outline, 6 * up), test::shifted(rim, 6 * up), foot}, up);
  solid.wall(foot, 15 * up);
  solid.face({test::shifted(foot, 15 * up)}, up);
  return solid.build();
}

test::ScannerSettings scanner(double noise_mm = 0.03) {
  test::ScannerSettings settings;
  settings.noise_mm = noise_mm;
  settings.points = 60000;
  return settings;
}

struct Scanned {
  Scan scan;
  Eigen::Isometry3d T_scan_design;
};
Scanned scanned(const Mesh& mesh, const test::ScannerSettings& settings, std::uint64_t seed) {
  const auto out = test::scan_of(mesh, settings, Rng(seed));
  return {out.scan, out.T_design_scan.inverse()};
}

MateHole hole_at(const Scanned& of, const Vector3d& at, double bolt_mm = 8.0) {
  return measure_mate_hole(of.scan.points_mm, of.scan.normals, of.scan.has_normals(),
                           of.T_scan_design * at, bolt_mm);
}

// Five standard errors: one in a million for each of 40 figures. The scanner's rays add a little of
// their own to noise, so 0.01 mm are allowed beside them.
TEST(MeasureMate, PlacesAHoleAndAStudWithinTheirErrorsFromAnyPlaceNearThem) {
  for (std::uint64_t seed = 1; seed <= 5; ++seed) {
    const Scanned of = scanned(frame(), scanner(), seed);
    Rng rng(seed);
    const Vector3d near(rng.uniform(-5, 5), rng.uniform(-5, 5), rng.uniform(-2, 2));
    const MateHole hole = hole_at(of, Vector3d(30, 20, 6) + near);
    ASSERT_TRUE(hole.is_measured()) << hole.reason;
    EXPECT_TRUE(hole.by_wall);
    EXPECT_FALSE(hole.is_stud);
    const Vector3d truth = of.T_scan_design * Vector3d(30, 20, 6);
    EXPECT_LT((hole.center_mm - truth).norm(), 5 * hole.center_error_mm + 0.02);
    EXPECT_LT(hole.center_error_mm, 0.02);
    EXPECT_NEAR(hole.diameter_mm, 6.8, 0.06);
    const MateHole stud = hole_at(of, Vector3d(90, 50, 10) + near);
    ASSERT_TRUE(stud.is_measured()) << stud.reason;
    EXPECT_TRUE(stud.is_stud);
    EXPECT_LT((stud.center_mm - of.T_scan_design * Vector3d(90, 50, 6)).norm(),
              5 * stud.center_error_mm + 0.02);
    EXPECT_NEAR(stud.diameter_mm, 8.0, 0.06);
    const Vector3d up = of.T_scan_design.linear() * Vector3d::UnitZ();
    EXPECT_GT(stud.axis.dot(up), 0.9999);
    EXPECT_GT(stud.face_normal.dot(up), 0.9999);
    EXPECT_NEAR(stud.noise_mm, 0.03, 0.01);
  }
}

TEST(MeasureMate, DoesTheSameWithoutNormalsButForTheSide) {
  test::ScannerSettings settings = scanner();
  settings.with_normals = false;
  const Scanned of = scanned(frame(), settings, 3);
  const Mate mate = measure_mate(
      of.scan, {of.T_scan_design * Vector3d(30, 20, 6), of.T_scan_design * Vector3d(90, 50, 6)},
      {8.0, 8.0}, std::nullopt);
  EXPECT_FALSE(mate.faces_out);
  ASSERT_EQ(mate.holes.size(), 2U);
  for (const MateHole& hole : mate.holes)
    ASSERT_TRUE(hole.is_measured()) << hole.reason;
  EXPECT_LT((mate.holes[0].center_mm - of.T_scan_design * Vector3d(30, 20, 6))
                .cross(mate.holes[0].axis)
                .norm(),
            0.06);
  EXPECT_LT((mate.holes[1].center_mm - of.T_scan_design * Vector3d(90, 50, 6)).norm(), 0.06);
  EXPECT_NEAR(mate.uncertainty_mm, 0.06, 0.02);
}

// Points 0.3 mm apart from straight above: no wall. 0.1 mm as asked of a rim at 0.03 mm noise.
TEST(MeasureMate, TakesTheRimWhereNoWallWasSeen) {
  test::ScannerSettings settings = scanner();
  settings.views = {Vector3d(0.02, 0.01, 1.0).normalized()};
  settings.points = 100000;
  const Scanned of = scanned(test::plate(120, 80, 2, {{{30, 20}, 6.8}}), settings, 4);
  const MateHole hole = hole_at(of, {31, 20, 2});
  ASSERT_TRUE(hole.is_measured()) << hole.reason;
  EXPECT_FALSE(hole.by_wall);
  EXPECT_LT((hole.center_mm - of.T_scan_design * Vector3d(30, 20, 2)).norm(), 0.1);
}

TEST(MeasureMate, SaysWhyWhereThereIsNoSuchHole) {
  const Scanned of = scanned(frame(), scanner(), 5);
  EXPECT_FALSE(hole_at(of, {60, 60, 6}).is_measured());
  EXPECT_NE(hole_at(of, {60, 60, 6}).reason, "");
  EXPECT_NE(hole_at(of, {60, 300, 6}).reason.find("only 0 points"), std::string::npos);
  EXPECT_FALSE(hole_at(of, {30, 20, 6}, 20.0).is_measured());
  const Scanned bare = scanned(test::plate(120, 80, 6), scanner(), 6);
  EXPECT_FALSE(hole_at(bare, {30, 20, 6}).is_measured());
}

TEST(MeasureMate, DoesNotChooseBetweenTwo) {
  const Mesh two = test::plate(120, 80, 6, {{{30, 20}, 6.8}, {{42, 20}, 6.8}});
  const Scanned of = scanned(two, scanner(), 7);
  const MateHole between = hole_at(of, {36, 20, 6});
  EXPECT_FALSE(between.is_measured());
  EXPECT_NE(between.reason.find("more than one"), std::string::npos) << between.reason;
  EXPECT_TRUE(hole_at(of, {31, 20, 6}).is_measured());
}

TEST(MeasureMate, HoleHalfHiddenIsNotMeasured) {
  const Scanned of = scanned(frame(), scanner(), 8);
  const Eigen::Isometry3d back = of.T_scan_design.inverse();
  std::vector<Index> kept;
  for (Index i = 0; i < of.scan.size(); ++i)
    if ((back * of.scan.points_mm.col(i)).x() < 30.0) kept.push_back(i);
  Scanned half = of;
  half.scan.points_mm = of.scan.points_mm(Eigen::all, kept);
  half.scan.normals = of.scan.normals(Eigen::all, kept);
  EXPECT_FALSE(hole_at(half, {30, 20, 6}).is_measured());
}

// Both faces of the frame are seen alike well.
TEST(MeasureMate, HoleRightThroughIsTakenWithTheFaceNearerToThePlace) {
  const Scanned of = scanned(frame(), scanner(), 10);
  const Vector3d up = of.T_scan_design.linear() * Vector3d::UnitZ();
  EXPECT_GT(hole_at(of, {31, 20, 5}).face_normal.dot(up), 0.999);
  EXPECT_LT(hole_at(of, {31, 20, 1}).face_normal.dot(up), -0.999);
}

TEST(MeasureMate, GivenUncertaintyStands) {
  const Scanned of = scanned(frame(), scanner(), 9);
  EXPECT_EQ(
      measure_mate(of.scan, {of.T_scan_design * Vector3d(30, 20, 6)}, {8.0}, 0.2).uncertainty_mm,
      0.2);
}

}  // namespace
}  // namespace trammel
