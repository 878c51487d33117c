#include "trammel/judge/bare_walls.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "judge/cell_fixture.hpp"
#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

constexpr BareDisc kDisc{2.0, 2.0, 2.0};

/// Scan points on both large faces of the fixture's plate, 60 × 40 × 5 mm, but none
/// within `gap_mm` of (30, 20).
struct Points {
  std::vector<Vector3d> at;
  std::vector<Reading> reading;

  Points(double gap_above_mm, double gap_below_mm, double apart_mm = 0.4) {
    for (double x = 0; x <= 60; x += apart_mm) {
      for (double y = 0; y <= 40; y += apart_mm) {
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

Mesh fixture_plate() {
  return test::box({0, 0, 0}, {60, 40, 5});
}

/// What a scan of these points leaves bare.
struct Scanned {
  test::CellFixture f;
  Eigen::Matrix3Xd points_mm;
  InMaterial material;

  template <typename Deviation>
  Scanned(const Points& points, const Mesh& design, const Deviation& deviation)
      : f(deviation, design), points_mm(3, static_cast<Eigen::Index>(points.at.size())) {
    f.readings.cell_of_point.setConstant(points_mm.cols(), -1);
    for (std::size_t i = 0; i < points.at.size(); ++i) {
      const auto at = static_cast<Eigen::Index>(i);
      points_mm.col(at) = points.at[i];
      if (points.reading[i] == Reading::Beside) continue;
      const SurfacePoint foot = f.index.nearest(points.at[i]);
      f.readings.cell_of_point[at] = f.tree.cell_at(design, foot.triangle, foot.foot_mm);
    }
    f.deviations.reading = points.reading;
    f.deviations.reach_mm = 5.0;
  }

  [[nodiscard]] std::vector<Vector3d> told(const BareDisc& disc) const {
    return bare_walls(f.index, f.tree, f.readings, f.deviations, points_mm, material, disc);
  }
};

/// Cells of the large faces within half the gap are unseen.
std::vector<Vector3d> bare_of(const Points& points, double gap_above_mm, double gap_below_mm,
                              const std::vector<std::uint8_t>& inside = {},
                              const Mesh& design = fixture_plate(), const BareDisc& disc = kDisc) {
  const auto deviation = [&](const Vector3d& p, const Vector3d& n) {
    const double gap = n.z() > 0.9 ? gap_above_mm : n.z() < -0.9 ? gap_below_mm : 0.0;
    return std::hypot(p.x() - 30, p.y() - 20) < 0.5 * gap ? test::kUnseen : 0.0;
  };
  Scanned scanned(points, design, deviation);
  scanned.material.inside = inside;
  return scanned.told(disc);
}

double no_deviation(const Vector3d& /*center*/, const Vector3d& /*normal*/) {
  return 0.0;
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
  EXPECT_TRUE(bare_of(Points(1.5, 1.5), 1.5, 1.5).empty());
}

TEST(BareWalls, ASmallerHoleIsToldByItsWall) {
  for (const int of_wall : {0, 2, 3}) {
    Points points(1.8, 1.8);
    std::vector<std::uint8_t> inside(points.at.size(), 0);
    for (int k = 0; k < of_wall; ++k) {
      // Seen from above only.
      points.add({30.0 + 1.8 * std::cos(k), 20.0 + 1.8 * std::sin(k), 4.2}, Reading::Inside);
      inside.push_back(1);
    }
    EXPECT_EQ(bare_of(points, 1.8, 1.8, inside, fixture_plate(), {2.4, 2.4, 2.4}).empty(),
              of_wall < 3)
        << of_wall;
  }
}

TEST(BareWalls, ASmallerHoleIsToldWherePointsLieDensely) {
  constexpr BareDisc kSureAtFour{1.13, 4.0, 4.0};
  const auto told = [&](double gap_mm, double apart_mm) {
    return !bare_of(Points(gap_mm, gap_mm, apart_mm), gap_mm, gap_mm, {}, fixture_plate(),
                    kSureAtFour)
                .empty();
  };
  EXPECT_TRUE(told(1.4, 0.4));    // some 60 points are missed
  EXPECT_FALSE(told(1.4, 1.0));   // some 10
  EXPECT_FALSE(told(0.85, 0.2));  // less than what counts
}

/// Seven points on 5 mm² of each face, anywhere, but none within `gap_mm` of (30, 20).
Points random_points(std::uint64_t seed, double gap_mm, bool on_both_faces) {
  Points points(100, 100);
  Rng rng(seed);
  for (int i = 0; i < 2 * 1.4 * 60 * 40; ++i) {
    const Vector3d p(rng.uniform(0, 60), rng.uniform(0, 40), i % 2 == 0 ? 5.0 : 0.0);
    const bool is_asked = on_both_faces || p.z() > 0.0;
    if (is_asked && std::hypot(p.x() - 30, p.y() - 20) > gap_mm) points.add(p, Reading::Measured);
  }
  return points;
}

// Sixteen points missed on both faces are one empty disc in nine million places, and thirteen on
// the only face that was seen one in 300,000; but there are as many places as points, twice over,
// and good parts came out undecided.
TEST(BareWalls, GapThatRandomPointsLeaveSomewhereIsNone) {
  constexpr BareDisc kAsScanned{1.13, 1.6, 2.0};  // 0.4 mm apart
  const auto told = [&](double gap_mm, bool on_both_faces) {
    return !bare_of(random_points(4, gap_mm, on_both_faces), 3, 3, {}, fixture_plate(), kAsScanned)
                .empty();
  };
  EXPECT_FALSE(told(1.2, true));
  EXPECT_TRUE(told(1.8, true));
  EXPECT_FALSE(told(1.6, false));
  EXPECT_TRUE(told(2.2, false));
}

// A hole of 3.2 mm through a sheet of 1.1 mm passed: every cell in it had borrowed a reading from
// the rim (`prove_flaws 1 1 81000 'hole too many'`).
TEST(BareWalls, HoleIsToldWhoseCellsBorrowedReadingsFromTheRim) {
  constexpr BareDisc kAsScanned{1.13, 1.13, 1.35};
  const Mesh sheet = test::box({0, 0, 3.9}, {60, 40, 5});
  for (const double x : {30.0, 30.2, 30.4, 30.6}) {
    Points points(100, 100);
    for (double u = 0; u <= 60; u += 0.5)
      for (double v = 0; v <= 40; v += 0.5)
        for (const double z : {3.9, 5.0})
          if (std::hypot(u - x, v - 20.3) > 1.5) points.add({u, v, z}, Reading::Measured);
    EXPECT_FALSE(Scanned(points, sheet, no_deviation).told(kAsScanned).empty()) << x;
  }
}

// Where a scan is thin, an empty disc of a few of its spacings is nothing.
TEST(BareWalls, ThinlyScannedSurfaceIsNotBareWhereItWasSeen) {
  constexpr BareDisc kAsElsewhere{1.13, 1.13, 1.35};  // 0.27 mm apart in the median
  EXPECT_TRUE(Scanned(Points(0, 0, 1.9), fixture_plate(), no_deviation).told(kAsElsewhere).empty());
}

TEST(BareWalls, WallPointsAmongManyStraysAreNone) {
  constexpr BareDisc kAsScanned{1.13, 2.0, 2.5};
  Points points(1.3, 1.3, 0.8);
  for (int k = 0; k < 3; ++k)
    points.add({30.0 + 1.8 * std::cos(k), 20.0 + 1.8 * std::sin(k), 4.2}, Reading::Inside);
  Scanned scanned(points, fixture_plate(), no_deviation);
  scanned.material.inside.assign(points.at.size() - 3, 0);
  scanned.material.inside.resize(points.at.size(), 1);
  EXPECT_FALSE(scanned.told(kAsScanned).empty());
  scanned.material.strays_per_mm3 = 0.1;
  EXPECT_TRUE(scanned.told(kAsScanned).empty());
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

/// The plate with a wall that stands on it, 25 mm high, `off_mm` from (30, 20) towards −X, and,
/// when asked, another as far towards +X.
Mesh with_walls(double off_mm, bool on_both_sides) {
  std::vector<Mesh> meshes{fixture_plate(), test::box({28 - off_mm, 0, 5}, {30 - off_mm, 40, 30})};
  if (on_both_sides) meshes.push_back(test::box({30 + off_mm, 0, 5}, {32 + off_mm, 40, 30}));
  return test::together(meshes);
}

TEST(BareWalls, HoleBesideABendIsTold) {
  const auto places = bare_of(Points(2.4, 2.4), 2.4, 2.4, {}, with_walls(1.6, false));
  ASSERT_FALSE(places.empty());
  EXPECT_LT(std::hypot(places[0].x() - 30, places[0].y() - 20), 1.5);
}

TEST(BareWalls, GrooveBetweenTwoWallsIsLeftToOthers) {
  EXPECT_TRUE(bare_of(Points(2.4, 2.4), 2.4, 2.4, {}, with_walls(1.6, true)).empty());
}

TEST(BareWalls, PlaceThatAFaceLooksBackAtIsLeftToOthers) {
  // The same gap, but in the inner faces of a slit of 3 mm between two plates.
  const Mesh design =
      test::together({test::box({0, 0, 0}, {60, 40, 2}), test::box({0, 0, 5}, {60, 40, 7})});
  const Scanned nothing(Points(100, 100), design,
                        [](const Vector3d&, const Vector3d&) { return test::kUnseen; });
  const auto places = nothing.told(kDisc);
  for (const Vector3d& place : places) {
    const bool deep = std::abs(place.x() - 30) < 25 && std::abs(place.y() - 20) < 15;
    EXPECT_FALSE(deep && place.z() > 1.9 && place.z() < 5.1);
  }
}

TEST(BareWalls, RadiusFollowsThePatchAndTheSpacing) {
  EXPECT_DOUBLE_EQ(bare_disc(4.0, 0.1).sure_mm, std::sqrt(4.0 / 3.14159265358979323846));
  EXPECT_DOUBLE_EQ(bare_disc(4.0, 0.5).near_mm, 2.0);
  EXPECT_DOUBLE_EQ(bare_disc(4.0, 0.5).sure_mm, 2.5);
  EXPECT_DOUBLE_EQ(bare_disc(4.0, 0.5).least_mm, bare_disc(4.0, 0.1).least_mm);
}

}  // namespace
}  // namespace trammel
