#include "trammel/judge/bare_walls.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "judge/cell_fixture.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

constexpr double kRadius_mm = 2.0;

/// Scan points on both large faces of the fixture's plate, 60 × 40 × 5 mm, 0.4 mm apart, but none
/// within `gap_mm` of (30, 20).
struct Points {
  std::vector<Vector3d> at;
  std::vector<Reading> reading;

  explicit Points(double gap_above_mm, double gap_below_mm) {
    for (double x = 0; x <= 60; x += 0.4) {
      for (double y = 0; y <= 40; y += 0.4) {
        const double off = std::hypot(x - 30, y - 20);
        if (off > gap_above_mm) add({x, y, 5}, Reading::Measured);
        if (off > gap_below_mm) add({x, y, 0}, Reading::Measured);
      }
    }
  }
  void add(const Vector3d& p, Reading how) {
    at.push_back(p);
    reading.push_back(how);
  }
};

/// Cells of the large faces within 1.5 mm less than the gap are unseen.
std::vector<Vector3d> bare_of(const Points& points, double gap_above_mm, double gap_below_mm,
                              const std::vector<std::uint8_t>& inside = {}) {
  const test::CellFixture f([&](const Vector3d& p, const Vector3d& n) {
    const double gap = n.z() > 0.9 ? gap_above_mm : n.z() < -0.9 ? gap_below_mm : 0.0;
    return std::hypot(p.x() - 30, p.y() - 20) < gap - 0.9 ? test::kUnseen : 0.0;
  });
  Eigen::Matrix3Xd points_mm(3, static_cast<Eigen::Index>(points.at.size()));
  for (std::size_t i = 0; i < points.at.size(); ++i)
    points_mm.col(static_cast<Eigen::Index>(i)) = points.at[i];
  Deviations deviations;
  deviations.reading = points.reading;
  deviations.reach_mm = 5.0;
  return bare_walls(f.index, f.tree.cells(),
                    unseen_on_both_faces(f.index, f.tree, f.readings, 12.0), deviations, points_mm,
                    inside, kRadius_mm);
}

TEST(BareWalls, HoleInBothFacesIsTold) {
  const auto places = bare_of(Points(3, 3), 3, 3);
  ASSERT_EQ(places.size(), 2U);  // a patch on each face
  EXPECT_LT(std::hypot(places[0].x() - 30, places[0].y() - 20), 1.5);
}

TEST(BareWalls, OneFaceSeenIsEnough) {
  EXPECT_TRUE(bare_of(Points(3, 0), 3, 0).empty());
}

TEST(BareWalls, AGapNoWiderThanTheRadiusIsNone) {
  EXPECT_TRUE(bare_of(Points(1.8, 1.8), 1.8, 1.8).empty());
}

TEST(BareWalls, ASmallerHoleIsToldByItsWall) {
  for (const int of_wall : {0, 2, 3}) {
    Points points(1.8, 1.8);
    std::vector<std::uint8_t> inside(points.at.size(), 0);
    for (int k = 0; k < of_wall; ++k) {
      for (const double z : {0.8, 4.2}) {  // seen from either side
        points.add({30.0 + 1.8 * std::cos(k), 20.0 + 1.8 * std::sin(k), z}, Reading::Inside);
        inside.push_back(1);
      }
    }
    EXPECT_EQ(bare_of(points, 1.8, 1.8, inside).empty(), of_wall < 3) << of_wall;
  }
}

TEST(BareWalls, PointsInTheMaterialMakeNoHoleOfASeenFace) {
  Points points(1.8, 0.0);
  std::vector<std::uint8_t> inside(points.at.size(), 0);
  for (int k = 0; k < 8; ++k) {
    points.add({30.0 + 1.8 * std::cos(k), 20.0 + 1.8 * std::sin(k), 4.2}, Reading::Inside);
    inside.push_back(1);
  }
  EXPECT_TRUE(bare_of(points, 1.8, 0.0, inside).empty());
}

TEST(BareWalls, BenchSeenThroughTheHoleHidesNothing) {
  Points points(3, 3);
  for (double x = 27; x <= 33; x += 0.4)
    for (double y = 17; y <= 23; y += 0.4)
      points.add({x, y, -0.05}, Reading::Beside);
  EXPECT_FALSE(bare_of(points, 3, 3).empty());
}

TEST(BareWalls, ClampOnTheFaceHidesIt) {
  Points points(3, 3);
  for (double z = 5.1; z < 9; z += 0.4)
    for (double y = 17; y <= 23; y += 0.4)
      points.add({27.5, y, z}, Reading::Beside);
  EXPECT_TRUE(bare_of(points, 3, 3).empty());
}

TEST(BareWalls, PlaceThatAFaceLooksBackAtIsLeftToOthers) {
  // The same gap, but in the inner faces of a slit of 3 mm between two plates.
  const Mesh design =
      test::together({test::box({0, 0, 0}, {60, 40, 2}), test::box({0, 0, 5}, {60, 40, 7})});
  const SurfaceIndex index(design);
  const CellTree tree(design, 0.8);
  CellReadings readings;
  readings.seen.assign(static_cast<std::size_t>(tree.cells().size()), 0);
  Deviations deviations;
  deviations.reach_mm = 5.0;
  const auto places =
      bare_walls(index, tree.cells(), unseen_on_both_faces(index, tree, readings, 12.0), deviations,
                 Eigen::Matrix3Xd(3, 0), {}, kRadius_mm);
  for (const Vector3d& place : places) {
    EXPECT_FALSE(place.z() > 1.9 && place.z() < 5.1 && place.x() > 5 && place.x() < 55);
  }
}

TEST(BareWalls, RadiusFollowsThePatchAndTheSpacing) {
  EXPECT_DOUBLE_EQ(bare_radius_mm(4.0, 0.1), std::sqrt(4.0 / 3.14159265358979323846));
  EXPECT_DOUBLE_EQ(bare_radius_mm(4.0, 0.5), 2.0);
}

}  // namespace
}  // namespace trammel
