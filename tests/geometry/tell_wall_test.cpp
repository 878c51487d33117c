#include "trammel/geometry/tell_wall.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "support/shapes.hpp"
#include "support/wall_points.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/geometry/measure_hole.hpp"
#include "trammel/geometry/measure_rim.hpp"
#include "trammel/geometry/normals.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;
using test::OrientedPoints;

constexpr double kRadius_mm = 3.0, kSheetNoise_mm = 0.03, kReach_mm = 10.0;

/// Ø6 in sheet from z = −1 to 0.
Opening hole_in_sheet() {
  Opening opening;
  opening.shape.radius_mm = kRadius_mm;
  opening.low_mm = -1.0;
  return opening;
}

Vector3d shaken_sheet(const Vector3d& at, Rng& rng) {
  return at + kSheetNoise_mm * Vector3d(rng.normal(), rng.normal(), rng.normal());
}

/// Both faces with 4 points a mm², and some of the wall; their true normals.
OrientedPoints sheet_with_hole(int of_wall, Rng rng) {
  const int of_face = static_cast<int>(4.0 * 4.0 * kReach_mm * kReach_mm);
  OrientedPoints out;
  std::vector<Vector3d> points, normals;
  for (const double side : {0.0, -1.0}) {
    for (int i = 0; i < of_face; ++i) {
      const Vector3d at(rng.uniform(-kReach_mm, kReach_mm), rng.uniform(-kReach_mm, kReach_mm),
                        side);
      if (at.head<2>().norm() < kRadius_mm) continue;
      points.push_back(shaken_sheet(at, rng));
      normals.emplace_back(0, 0, side < 0.0 ? -1 : 1);
    }
  }
  for (int i = 0; i < of_wall; ++i) {
    const double angle = rng.uniform(0, 2.0 * kPi);
    const Vector3d out_of(std::cos(angle), std::sin(angle), 0);
    points.push_back(shaken_sheet(kRadius_mm * out_of - rng.uniform() * Vector3d::UnitZ(), rng));
    normals.push_back(-out_of);
  }
  out.points_mm.resize(3, static_cast<Index>(points.size()));
  out.normals.resize(3, out.points_mm.cols());
  for (Index i = 0; i < out.points_mm.cols(); ++i) {
    out.points_mm.col(i) = points[static_cast<std::size_t>(i)];
    out.normals.col(i) = normals[static_cast<std::size_t>(i)];
  }
  return out;
}

/// The same points with normals from their neighbours, of the right sign.
OrientedPoints with_estimated_normals(OrientedPoints scan) {
  const Eigen::Matrix3Xd found =
      estimate_normals(scan.points_mm, PointIndex(scan.points_mm)).normals;
  for (Index i = 0; i < found.cols(); ++i)
    scan.normals.col(i) = (found.col(i).dot(scan.normals.col(i)) < 0.0 ? -1.0 : 1.0) * found.col(i);
  return scan;
}

DesignHole drawn_hole() {
  DesignHole hole;
  hole.radius_mm = kRadius_mm;
  hole.low_mm = -1.0;
  return hole;
}

// Points of the faces next to the rim lean like a wall and made holes up to 0.2 mm too wide.
TEST(TellWall, LetsAWallBeMeasuredByWhatStandsClearOfTheFaces) {
  double raw_worst = 0.0, told = 0.0;
  int measured = 0;
  for (std::uint64_t seed = 1; seed <= 40; ++seed) {
    const int of_wall = 10 + 2 * static_cast<int>(seed);
    const OrientedPoints scan = with_estimated_normals(sheet_with_hole(of_wall, Rng(seed)));
    const PointsOfOpening clear = tell_wall(scan.points_mm, scan.normals, hole_in_sheet());
    const auto before = measure_hole(scan.points_mm, scan.normals, drawn_hole());
    const auto after = measure_hole(clear.points_mm, clear.normals, drawn_hole());
    if (before.status == HoleStatus::Measured)
      raw_worst = std::max(raw_worst, before.diameter_mm - 2.0 * kRadius_mm);
    if (after.status != HoleStatus::Measured) continue;
    ++measured;
    told += after.diameter_mm - 2.0 * kRadius_mm;
    EXPECT_NEAR(after.diameter_mm, 2.0 * kRadius_mm, 0.06);
    EXPECT_LT(after.offset_mm.norm(), 0.06);
  }
  EXPECT_GT(raw_worst, 0.1);
  ASSERT_GE(measured, 5);
  // 20 points a hole or more: σ = 2 · 0.03 / √20, less by the root of the holes; four of it.
  EXPECT_NEAR(told / measured, 0.0, 4.0 * 0.0134 / std::sqrt(measured));
}

// Points of the wall that are level with a face made rims 0.1 to 0.2 mm too narrow.
TEST(TellWall, KeepsTheWallOutOfTheRims) {
  const Mesh design = test::plate(60, 40, 1, {{{30, 20}, 2.0 * kRadius_mm}});
  DesignHole hole = *find_hole(design, {30, 20, 1});
  double told = 0.0;
  for (std::uint64_t seed = 1; seed <= 10; ++seed) {
    OrientedPoints scan = with_estimated_normals(sheet_with_hole(70, Rng(seed)));
    scan.points_mm.colwise() += Vector3d(30, 20, 1);
    Opening opening = hole_in_sheet();
    opening.shape.center_mm = {30, 20, 1};
    const PointsOfOpening clear = tell_wall(scan.points_mm, scan.normals, opening);
    const auto after = measure_by_rims(design, clear.points_mm, clear.normals, hole);
    ASSERT_EQ(after.status, HoleStatus::Measured) << after.reason;
    EXPECT_EQ(after.rims, 2);
    told += 0.1 * (after.diameter_mm - 2.0 * kRadius_mm);
    EXPECT_NEAR(after.diameter_mm, 2.0 * kRadius_mm, 0.06) << seed;
    EXPECT_LT(after.offset_mm.norm(), 0.1) << seed;
  }
  EXPECT_NEAR(told, 0.0, 0.02);
}

TEST(TellWall, GoesByTheLevelNextToAFaceAndByTheNormalElsewhere) {
  OrientedPoints scan = sheet_with_hole(0, Rng(3));
  const Index faces = scan.points_mm.cols();
  const Vector3d leaning = Vector3d(-1, 0, 1).normalized();
  scan.add(
      test::looking({{3.0, 0, -0.5}, {3.0, 0, -0.06}, {3.2, 0, 0.06}, {3, 0, -0.94}}, leaning));
  const PointsOfOpening told = tell_wall(scan.points_mm, scan.normals, hole_in_sheet());
  // The face's inner half is left out: of 2 · 1600 points those on π 7.8² of 20² mm², less the
  // hole.
  const double inner = 0.5 * 2.0 * 4.0 * kPi * (7.8 * 7.8 - 9.0);
  EXPECT_NEAR(static_cast<double>(faces + 2 - told.points_mm.cols()), inner,
              5.0 * std::sqrt(inner));
  const Index last = told.points_mm.cols() - 1;
  EXPECT_EQ(told.points_mm.col(last), Vector3d(3.2, 0, 0.06));
  EXPECT_EQ(told.normals.col(last), Vector3d::UnitZ());
  EXPECT_EQ(told.points_mm.col(last - 1), Vector3d(3.0, 0, -0.5));
  EXPECT_EQ(told.normals.col(last - 1), leaning);
}

TEST(TellWall, OfAPinTheFaceThatItStandsOnLooksTheSameWayAsItsEnd) {
  std::vector<Vector3d> base;
  for (double x = -9; x <= 9; x += 0.5)
    for (double y = -9; y <= 9; y += 0.5)
      if (std::hypot(x, y) > 3.0) base.emplace_back(x, y, -5.0);
  OrientedPoints scan = test::looking(base, Vector3d::UnitZ());
  scan.add(test::looking({{3, 0, -2}, {3, 0, -4.99}}, Vector3d::UnitX()));
  Opening pin = hole_in_sheet();
  pin.low_mm = -5.0;
  pin.kind = RoundKind::Pin;
  const PointsOfOpening told = tell_wall(scan.points_mm, scan.normals, pin);
  EXPECT_EQ(told.points_mm.cols(), scan.points_mm.cols() - 1);
  EXPECT_EQ(told.points_mm.rightCols<1>(), Vector3d(3, 0, -2));
}

TEST(TellWall, ChangesNothingWhereNoFaceWasSeen) {
  const OrientedPoints wall = test::wall_of({}, 100, Rng(1));
  const PointsOfOpening told = tell_wall(wall.points_mm, wall.normals, hole_in_sheet());
  EXPECT_EQ(told.points_mm, wall.points_mm);
  EXPECT_EQ(told.normals, wall.normals);
}

}  // namespace
}  // namespace trammel
