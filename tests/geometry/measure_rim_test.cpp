#include "trammel/geometry/measure_rim.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector2d;
using Eigen::Vector3d;

const Mesh kDrawn = test::plate(60, 40, 2, {{{30, 20}, 6.6}});

DesignHole drawn_hole() {
  return *find_hole(kDrawn, {30, 20, 2});
}

/// The upper face of a plate scanned from straight above: no point of a wall.
Scan from_above(const Mesh& made, double noise_mm, std::size_t points, std::uint64_t seed) {
  test::ScannerSettings settings;
  settings.views = {Vector3d(0.02, 0.01, 1.0).normalized()};
  settings.noise_mm = noise_mm;
  settings.points = points;
  settings.random_pose = false;
  return test::scan_of(made, settings, Rng(seed)).scan;
}

MeasuredRim upper_rim(const Scan& scan, const MeasureRimSettings& settings = {}) {
  return measure_rim(scan.points_mm, scan.normals, drawn_hole(), HoleEnd::High, settings);
}

// Asked of a rim at 0.03 mm noise: place within 0.1 mm, diameter within 0.06 mm. Points 0.28 mm
// apart.
TEST(MeasureRim, PlacesAThinSheetsHoleSeenFromStraightAbove) {
  Rng rng(1);
  for (int round = 0; round < 40; ++round) {
    const Vector2d off(rng.uniform(-0.8, 0.8), rng.uniform(-0.8, 0.8));
    const double diameter = rng.uniform(6.0, 7.4);
    const Mesh made = test::plate(60, 40, 2, {{Vector2d(30, 20) + off, diameter, 96}});
    const auto rim = upper_rim(from_above(made, 0.03, 30000, 100U + static_cast<unsigned>(round)));
    ASSERT_TRUE(rim.measured) << rim.reason;
    EXPECT_LT((rim.offset_mm - Vector3d(off.x(), off.y(), 0)).norm(), 0.1) << "round " << round;
    EXPECT_NEAR(2.0 * rim.radius_mm, diameter, 0.06) << "round " << round;
  }
}

TEST(MeasureRim, AStrayInsideDoesNotPull) {
  Scan scan = from_above(kDrawn, 0.03, 17000, 7);
  scan.points_mm.conservativeResize(3, scan.points_mm.cols() + 2);
  scan.normals.conservativeResize(3, scan.normals.cols() + 2);
  scan.points_mm.rightCols<2>() << 31, 29.5, 20.5, 18.2, 2, 2.01;
  scan.normals.rightCols<2>() << 0, 0, 0, 0, 1, 1;
  const auto rim = upper_rim(scan);
  ASSERT_TRUE(rim.measured) << rim.reason;
  EXPECT_LT(rim.offset_mm.norm(), 0.05);
  EXPECT_NEAR(rim.radius_mm, 3.3, 0.03);
}

TEST(MeasureRim, SheetThatStandsProudAndLeansIsFollowed) {
  Scan scan = from_above(kDrawn, 0.03, 17000, 8);
  for (Index i = 0; i < scan.size(); ++i)
    scan.points_mm(2, i) += 0.4 + 0.02 * (scan.points_mm(0, i) - 30.0);
  const auto rim = upper_rim(scan);
  ASSERT_TRUE(rim.measured) << rim.reason;
  EXPECT_LT(rim.offset_mm.norm(), 0.05);
  EXPECT_NEAR(rim.radius_mm, 3.3, 0.03);
}

TEST(MeasureRim, CoatingIsTakenOff) {
  MeasureRimSettings settings;
  const Scan scan = from_above(kDrawn, 0.03, 17000, 9);
  const double bare = upper_rim(scan).radius_mm;
  settings.coating_mm = 0.02;
  EXPECT_NEAR(upper_rim(scan, settings).radius_mm - bare, 0.02, 1e-12);
}

TEST(MeasureRim, SaysWhenThereIsNoRimToBeSeen) {
  // Not drilled, seen from below only, half of the face unseen, a slot, and far too wide.
  EXPECT_FALSE(upper_rim(from_above(test::plate(60, 40, 2), 0.03, 17000, 10)).measured);
  const Scan whole = from_above(kDrawn, 0.03, 17000, 11);
  EXPECT_FALSE(measure_rim(whole.points_mm, whole.normals, drawn_hole(), HoleEnd::Low).measured);
  Scan half;
  half.points_mm.resize(3, whole.size());
  half.normals = whole.normals;
  Index kept = 0;
  for (Index i = 0; i < whole.size(); ++i)
    if (whole.points_mm(0, i) < 30.5) half.points_mm.col(kept++) = whole.points_mm.col(i);
  half.points_mm.conservativeResize(3, kept);
  half.normals.conservativeResize(3, kept);
  const auto of_half = upper_rim(half);
  EXPECT_FALSE(of_half.measured);
  EXPECT_NE(of_half.reason.find("of its rim"), std::string::npos) << of_half.reason;
  const Mesh slot = test::extrude({{{0, 0}, {60, 0}, {60, 40}, {0, 40}},
                                   {{26.7, 16.7}, {26.7, 23.3}, {35.3, 23.3}, {35.3, 16.7}}},
                                  2.0);
  EXPECT_FALSE(upper_rim(from_above(slot, 0.03, 17000, 12)).measured);
  const Mesh wide = test::plate(60, 40, 2, {{{30, 20}, 12.0}});
  EXPECT_FALSE(upper_rim(from_above(wide, 0.03, 17000, 13)).measured);
}

MeasuredHole by_rims(const Mesh& made, const std::vector<Vector3d>& views, std::uint64_t seed) {
  test::ScannerSettings settings;
  settings.views = views;
  settings.points = 30000 * views.size();
  settings.random_pose = false;
  const Scan scan = test::scan_of(made, settings, Rng(seed)).scan;
  return measure_by_rims(kDrawn, scan.points_mm, scan.normals, drawn_hole());
}

const Vector3d kAbove = Vector3d(0.02, 0.01, 1.0).normalized();
const Vector3d kBelow = Vector3d(0.01, -0.02, -1.0).normalized();

TEST(MeasureByRims, BothRimsGiveTheHoleAndOneSaysSo) {
  const Mesh made = test::plate(60, 40, 2, {{{30.3, 19.6}, 6.8, 96}});
  const MeasuredHole both = by_rims(made, {kAbove, kBelow}, 21);
  ASSERT_EQ(both.status, HoleStatus::Measured) << both.reason;
  EXPECT_EQ(both.rims, 2);
  EXPECT_LT((both.offset_mm - Vector3d(0.3, -0.4, 0)).norm(), 0.1);
  EXPECT_LT((both.center_mm - Vector3d(30.3, 19.6, 1)).norm(), 0.1);
  EXPECT_NEAR(both.diameter_mm, 6.8, 0.06);
  EXPECT_LE(both.narrowest_mm, both.diameter_mm);
  EXPECT_FALSE(both.tilted);
  const MeasuredHole one = by_rims(made, {kBelow}, 22);
  ASSERT_EQ(one.status, HoleStatus::Measured) << one.reason;
  EXPECT_EQ(one.rims, 1);
  EXPECT_LT((one.offset_mm - Vector3d(0.3, -0.4, 0)).norm(), 0.1);
  const MeasuredHole none = by_rims(test::plate(60, 40, 2), {kAbove, kBelow}, 23);
  EXPECT_NE(none.status, HoleStatus::Measured);
}

TEST(MeasureByRims, AHoleThatLeansIsJudgedAtItsWorseEndAndItsNarrowestWidth) {
  // The upper rim shifted by 0.6 mm in x against the lower one: 17 degrees.
  Mesh made = kDrawn;
  for (Index i = 0; i < made.vertices_mm.cols(); ++i) {
    const Vector2d arm = made.vertices_mm.col(i).head<2>() - Vector2d(30, 20);
    if (made.vertices_mm(2, i) > 1.9 && arm.norm() < 3.4) made.vertices_mm(0, i) += 0.6;
  }
  const MeasuredHole leans = by_rims(made, {kAbove, kBelow}, 24);
  ASSERT_EQ(leans.status, HoleStatus::Measured) << leans.reason;
  EXPECT_TRUE(leans.tilted);
  EXPECT_NEAR(leans.worst_offset_mm, 0.6, 0.1);
  EXPECT_NEAR(leans.offset_mm.x(), 0.3, 0.1);
  EXPECT_NEAR(leans.axis.x() / leans.axis.z(), 0.3, 0.05);
}

/// How a sheet's hole was scanned by so few points that each rim is known to some tenths only.
struct ThinScan {
  double lean_mm = 0.0;  ///< of the wall's upper end against its lower one
  double gap_mm = 0.0;   ///< what chance left empty beside either rim, to opposite sides
  int on_wall = 0;
};

MeasuredHole thinly_scanned(const ThinScan& thin, std::uint64_t seed) {
  Rng rng(seed);
  std::vector<Vector3d> points, normals;
  for (const double z : {0.0, 2.0}) {
    const double aside = thin.lean_mm * (0.5 * z - 0.5), gap = thin.gap_mm * (z - 1.0);
    for (int k = 0; k < 190; ++k) {  // 0.65 a square millimetre over 17 x 17 mm
      const Vector2d at(rng.uniform(-8.5, 8.5), rng.uniform(-8.5, 8.5));
      if (std::hypot(at.x() - aside, at.y()) < 3.3 || std::hypot(at.x() - gap, at.y()) < 3.3)
        continue;
      points.emplace_back(30 + at.x(), 20 + at.y(), z + 0.01 * rng.normal());
      normals.emplace_back(0, 0, z - 1.0);
    }
  }
  for (int k = 0; k < thin.on_wall; ++k) {
    const double angle = rng.uniform(0.0, 6.2832), z = rng.uniform(0.2, 1.8);
    const Vector3d out(std::cos(angle), std::sin(angle), 0);
    points.push_back(Vector3d(30 + thin.lean_mm * (0.5 * z - 0.5), 20, z) +
                     (3.3 + 0.01 * rng.normal()) * out);
    normals.push_back((Vector3d(0, 0, 0.5 * thin.lean_mm * out.x()) - out).normalized());
  }
  Eigen::Matrix3Xd p(3, static_cast<Index>(points.size())), n = p;
  for (std::size_t i = 0; i < points.size(); ++i) {
    p.col(static_cast<Index>(i)) = points[i];
    n.col(static_cast<Index>(i)) = normals[i];
  }
  return measure_by_rims(kDrawn, p, n, drawn_hole());
}

// Points 1.2 mm apart: such gaps made a straight hole lean by 30 degrees, which is to be drilled
// anew.
TEST(MeasureByRims, GapsBesideTheRimsAreNoLean) {
  for (const double gap_mm : {0.0, 0.6, 0.8, 1.0, 1.2}) {
    for (std::uint64_t seed = 1; seed <= 10; ++seed) {
      const MeasuredHole seen = thinly_scanned({0.0, gap_mm, 24}, seed);
      if (seen.status != HoleStatus::Measured || seen.rims != 2) continue;
      EXPECT_FALSE(seen.tilted) << gap_mm << ' ' << seed;
      EXPECT_LT(seen.offset_mm.norm(), 0.03) << gap_mm << ' ' << seed;
      EXPECT_NEAR(seen.diameter_mm, 6.6, 0.03) << gap_mm << ' ' << seed;
      EXPECT_LT(seen.center_error_mm, 0.1) << gap_mm << ' ' << seed;
    }
  }
}

TEST(MeasureByRims, WithoutAWallSuchALeanIsADoubt) {
  int doubted = 0;
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    const MeasuredHole seen = thinly_scanned({0.0, 0.9, 0}, seed);
    if (seen.status != HoleStatus::Measured || seen.rims != 2) continue;
    EXPECT_FALSE(seen.tilted) << seed;
    EXPECT_LT(seen.offset_mm.norm(), 4.0 * seen.center_error_mm) << seed;
    doubted += seen.center_error_mm > 0.3 ? 1 : 0;
  }
  EXPECT_GT(doubted, 0);
}

TEST(MeasureByRims, AFewPointsOfALeaningWallTellThatItLeans) {
  int told = 0;
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    const MeasuredHole seen = thinly_scanned({1.2, 0.0, 24}, seed);
    if (seen.status != HoleStatus::Measured || seen.rims != 2) continue;
    if (seen.tilted) {
      ++told;
      EXPECT_NEAR(seen.worst_offset_mm, 0.6, 0.05) << seed;
    } else {
      EXPECT_GT(2.0 * seen.center_error_mm, 0.5) << seed;
    }
  }
  EXPECT_GT(told, 12);
}

TEST(HasSquareRim, NeedsTheFlatFaceAtTheWallsEnd) {
  EXPECT_TRUE(has_square_rim(kDrawn, drawn_hole(), HoleEnd::High));
  EXPECT_TRUE(has_square_rim(kDrawn, drawn_hole(), HoleEnd::Low));
  // A blind hole of the housing's bosses: its floor is no rim.
  const Mesh housing = test::housing();
  const auto left = find_hole(housing, {20, 37, 3});
  ASSERT_TRUE(left);
  EXPECT_TRUE(has_square_rim(housing, *left, HoleEnd::High));
  // A chamfer: the mouth opened by 0.6 mm over 0.6 mm of depth.
  Mesh chamfered = test::refined(kDrawn, 0.65);
  for (Index i = 0; i < chamfered.vertices_mm.cols(); ++i) {
    Vector3d p = chamfered.vertices_mm.col(i);
    const Vector2d arm(p.x() - 30, p.y() - 20);
    if (p.z() < 1.99 || arm.norm() > 3.4) continue;
    p.head<2>() += 0.6 * arm.normalized();
    chamfered.vertices_mm.col(i) = p;
  }
  const auto mouth = find_hole(chamfered, {30, 20, 1});
  ASSERT_TRUE(mouth);
  EXPECT_FALSE(has_square_rim(chamfered, *mouth, HoleEnd::High));
  EXPECT_TRUE(has_square_rim(chamfered, *mouth, HoleEnd::Low));
}

}  // namespace
}  // namespace trammel
