#include "trammel/judge/closed_opening.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <vector>

#include "support/wall_points.hpp"
#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;
using test::OrientedPoints;

/// 8 × 20 mm through 3 mm, along y.
Opening slot_along_y() {
  return {{{15, 20, 1.5}, Vector3d::UnitZ(), Vector3d::UnitY(), 6.0, 4.0}, -1.5, 1.5};
}

/// Points 0.5 mm apart on [11, 19] × [from, to] at a level, that look up or down.
OrientedPoints sheet(double level_mm, double up, double from_y = 10, double to_y = 30) {
  std::vector<Vector3d> points;
  for (double x = 11; x <= 19; x += 0.5)
    for (double y = from_y; y <= to_y; y += 0.5)
      points.emplace_back(x, y, level_mm);
  return test::looking(points, up * Vector3d::UnitZ());
}

PointsAround around(const OrientedPoints& scan, const Opening& opening = slot_along_y(),
                    Reading reading = Reading::Beside) {
  Deviations deviations;
  deviations.reading.assign(static_cast<std::size_t>(scan.points_mm.cols()), reading);
  deviations.foot_mm = scan.points_mm;
  return points_around(opening, 16.0, {scan.points_mm, scan.normals, deviations, 0.0, 0.02, 0.5});
}

TEST(ClosedOpening, IsClosedByASheetOverAllOfItsLength) {
  EXPECT_TRUE(around(sheet(3.0, 1.0)).closed);
  EXPECT_TRUE(around(sheet(0.0, -1.0)).closed);
  EXPECT_TRUE(around(sheet(1.4, 1.0)).closed);
  // A slot that is cut to half of its length is too short, not closed; so is a round hole.
  EXPECT_FALSE(around(sheet(3.0, 1.0, 20.0)).closed);
  EXPECT_TRUE(around(sheet(3.0, 1.0, 17.0)).closed);  // two thirds of it
}

TEST(ClosedOpening, IsNotClosedByTheBenchBehindIt) {
  EXPECT_FALSE(around(sheet(0.0, 1.0)).closed);
  EXPECT_FALSE(around(sheet(3.0, -1.0)).closed);
  EXPECT_FALSE(around(sheet(-1.0, -1.0)).closed);
  EXPECT_FALSE(around({}).closed);
}

TEST(ClosedOpening, IsNotClosedByASurfaceThatIsDrawnInIt) {
  EXPECT_FALSE(around(sheet(1.4, 1.0), slot_along_y(), Reading::Measured).closed);
}

TEST(ClosedOpening, WithoutAStraightLengthIsARoundHole) {
  Opening hole = slot_along_y();
  hole.shape.half_straight_mm = 0.0;
  EXPECT_TRUE(around(sheet(3.0, 1.0, 16, 24), hole).closed);
  EXPECT_FALSE(around(sheet(3.0, 1.0, 16, 19), hole).closed);
}

/// As many points as a random scan 0.4 mm apart in the median has on [16, 24] × [16, 24].
OrientedPoints random_lid(std::uint64_t seed, double radius_mm, double least_y) {
  Rng rng(seed);
  std::vector<Vector3d> points;
  for (int i = 0; i < 88; ++i) {
    const Vector3d point(rng.uniform(11, 19), rng.uniform(16, 24), 3.0 + 0.02 * rng.normal());
    if (std::hypot(point.x() - 15.0, point.y() - 20.0) < radius_mm && point.y() > least_y)
      points.push_back(point);
  }
  return test::looking(points, Vector3d::UnitZ());
}

// Of squares that hold one point of a random scan on average, a third is empty: a lid in plain view
// was called unseen in a third of all scans, by chance.
TEST(ClosedOpening, IsClosedByALidWhosePointsLieAnywhere) {
  Opening hole = slot_along_y();
  hole.shape.half_straight_mm = 0.0;
  hole.shape.radius_mm = 2.5;
  int closed = 0, by_half = 0;
  for (std::uint64_t seed = 0; seed < 100; ++seed) {
    closed += around(random_lid(seed, 2.5, 0.0), hole).closed ? 1 : 0;
    by_half += around(random_lid(seed, 2.5, 20.0), hole).closed ? 1 : 0;
  }
  EXPECT_GE(closed, 90);
  EXPECT_EQ(by_half, 0);
}

// A scan of 0.35 mm has 4 × 4 squares over a hole of 6 mm, of which eight of twelve touch the edge:
// a hole 1.7 mm too small was called closed, not small.
TEST(ClosedOpening, IsNotClosedByTheFaceAboutAHoleMadeTooSmall) {
  Opening hole = slot_along_y();
  hole.shape.half_straight_mm = 0.0;
  hole.shape.radius_mm = 3.08;
  for (std::uint64_t seed = 0; seed < 20; ++seed) {
    Rng rng(seed);
    std::vector<Vector3d> face, lid;
    for (int i = 0; i < 400; ++i) {
      const Vector3d point(rng.uniform(11, 19), rng.uniform(16, 24), 3.0 + 0.04 * rng.normal());
      lid.push_back(point);
      if (std::hypot(point.x() - 15.0, point.y() - 20.0) > 2.22) face.push_back(point);
    }
    EXPECT_FALSE(around(test::looking(face, Vector3d::UnitZ()), hole, Reading::Beside).closed);
    EXPECT_TRUE(around(test::looking(lid, Vector3d::UnitZ()), hole, Reading::Beside).closed);
  }
}

// In a hole of 34 mm they lie over all of it: it was called closed.
TEST(ClosedOpening, IsNotClosedByStrays) {
  Opening hole = slot_along_y();
  hole.shape.half_straight_mm = 0.0;
  hole.shape.radius_mm = 17.0;
  hole.low_mm = -5.0;
  hole.high_mm = 5.0;
  Rng rng(3);
  for (const double apart_mm : {0.5, 2.0}) {
    OrientedPoints strays;
    for (int i = 0; i < 400; ++i) {
      const Vector3d point(rng.uniform(-2, 32), rng.uniform(3, 37), rng.uniform(-5, 8));
      strays.add(test::looking({point}, rng.direction()));
    }
    Deviations deviations;
    deviations.reading.assign(400, Reading::TooFar);
    deviations.foot_mm = strays.points_mm;
    EXPECT_FALSE(points_around(hole, 34.0,
                               {strays.points_mm, strays.normals, deviations, 0.0, 0.02, apart_mm})
                     .closed)
        << apart_mm;
  }
}

TEST(ClosedOpening, HandsOnThePointsAboutIt) {
  OrientedPoints scan = sheet(3.0, 1.0);
  const auto inside = scan.points_mm.cols();
  scan.add(sheet(40.0, 1.0));
  const PointsAround near = around(scan);
  EXPECT_EQ(near.points_mm.cols(), inside);
  EXPECT_EQ(near.normals.cols(), inside);
}

// Without normals of its own a scan tells wall from face by the level, next to a face.
TEST(ClosedOpening, LeavesOutWhatEstimatedNormalsCannotTell) {
  OrientedPoints scan = sheet(3.0, 1.0);
  scan.add(test::looking({{15, 27, 2.99}, {15, 27, 2.0}}, -Vector3d::UnitY()));
  Deviations deviations;
  deviations.reading.assign(static_cast<std::size_t>(scan.points_mm.cols()), Reading::Beside);
  deviations.foot_mm = scan.points_mm;
  OpeningEvidence evidence{scan.points_mm, scan.normals, deviations, 0.0, 0.02, 0.5};
  const auto all = scan.points_mm.cols();
  EXPECT_EQ(points_around(slot_along_y(), 16.0, evidence).points_mm.cols(), all);
  evidence.normals_estimated = true;
  EXPECT_EQ(points_around(slot_along_y(), 16.0, evidence).points_mm.cols(), all - 1);
}

// A bench that the part lies on was given the way of the face it is level with: the hole was failed
// as closed (a good part over a bench, without normals).
TEST(ClosedOpening, WithoutNormalsIsClosedLevelWithAMouthOnlyInAScannedFace) {
  Opening hole = slot_along_y();
  hole.shape.half_straight_mm = 0.0;
  const auto is_closed = [&](const OrientedPoints& scan) {
    Deviations deviations;
    deviations.reading.assign(static_cast<std::size_t>(scan.points_mm.cols()), Reading::Beside);
    deviations.foot_mm = scan.points_mm;
    return points_around(hole, 8.0,
                         {scan.points_mm, scan.normals, deviations, 0.0, 0.02, 0.5, true})
        .closed;
  };
  std::vector<Vector3d> within, wider;
  for (double x = 8; x <= 22; x += 0.5) {
    for (double y = 13; y <= 27; y += 0.5) {
      wider.emplace_back(x, y, 0.0);
      if (std::hypot(x - 15.0, y - 20.0) < 4.0) within.emplace_back(x, y, 0.0);
    }
  }
  const OrientedPoints upper_face = sheet(3.0, 1.0, 24.5, 27.0);
  OrientedPoints bench = test::looking(within, -Vector3d::UnitZ());
  EXPECT_TRUE(is_closed(bench));  // nothing else was scanned
  bench.add(upper_face);
  EXPECT_FALSE(is_closed(bench));
  OrientedPoints skin = test::looking(wider, -Vector3d::UnitZ());
  skin.add(upper_face);
  EXPECT_TRUE(is_closed(skin));
  // Between the ends it is a floor too many, whatever else was seen.
  for (Vector3d& point : within)
    point.z() = 1.5;
  OrientedPoints floor = test::looking(within, Vector3d::UnitZ());
  floor.add(upper_face);
  EXPECT_TRUE(is_closed(floor));
}

}  // namespace
}  // namespace trammel
