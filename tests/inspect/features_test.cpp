/// Features that are drawn and not made, or made and not drawn; blobs of weld; clamps: the whole
/// way.

#include <gtest/gtest.h>

#include "support/long_run.hpp"
#include "support/shapes.hpp"
#include "support/solid_builder.hpp"
#include "support/virtual_scanner.hpp"
#include "support/whole_way.hpp"
#include "trammel/inspect.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;
using test::normals_by_turns, test::reasons_of;

struct Features {
  double thickness_mm = 3.0;
  bool boss = true, rib = true, tab = true, hole = true, small_hole = true;
  double small_hole_mm = 3.2;  ///< diameter
  double floor_mm = 0.0;       ///< thickness left under the hole of 8 mm; 0: it goes through
  bool another_hole = false;   ///< 4 mm across
};

/// A plate of 90 × 60 mm without symmetry: boss 7 mm across and 12 mm high, rib of 30 × 1.6 mm and
/// 8 mm high, tab of 12 × 16 mm, holes of 8 and 3.2 mm.
Mesh feature_plate(const Features& f) {
  const Vector3d kUp = Vector3d::UnitZ();
  const double t = f.thickness_mm;
  test::Loop outline{{0, 0, 0}, {90, 0, 0}};
  if (f.tab) {
    const test::Loop tab{{90, 20, 0}, {102, 20, 0}, {102, 36, 0}, {90, 36, 0}};
    outline.insert(outline.end(), tab.begin(), tab.end());
  }
  outline.insert(outline.end(), {{90, 60, 0}, {20, 60, 0}, {0, 45, 0}});
  std::vector<test::Loop> below{outline}, above{test::shifted(outline, t * kUp)};
  test::SolidBuilder solid;
  solid.wall(outline, t * kUp);
  const auto add_hole = [&](const Vector3d& at, double diameter_mm, double floor_mm = 0.0) {
    const test::Loop rim = test::circle(at + floor_mm * kUp, kUp, diameter_mm, 40);
    if (floor_mm > 0.0)
      solid.face({rim}, kUp);
    else
      below.push_back(rim);
    above.push_back(test::shifted(rim, (t - floor_mm) * kUp));
    solid.hole_wall(rim, (t - floor_mm) * kUp);
  };
  const auto add_standing = [&](const test::Loop& foot, double height_mm) {
    above.push_back(foot);
    solid.wall(foot, height_mm * kUp);
    solid.face({test::shifted(foot, height_mm * kUp)}, kUp);
  };
  if (f.hole) add_hole({60, 15, 0}, 8, f.floor_mm);
  if (f.small_hole) add_hole({30, 45, 0}, f.small_hole_mm);
  if (f.another_hole) add_hole({70, 50, 0}, 4);
  if (f.boss) add_standing(test::circle({25, 20, t}, kUp, 7, 40), 12);
  if (f.rib) add_standing({{50, 40, t}, {80, 40, t}, {80, 41.6, t}, {50, 41.6, t}}, 8);
  solid.face(below, -kUp);
  solid.face(above, kUp);
  return solid.build();
}

Inspection checked(const Mesh& design, const Mesh& real, test::ScannerSettings settings,
                   std::size_t points = 30000) {
  settings.points = points;
  Plan plan;
  plan.scan_units = Unit::Mm;
  return test::check_made_in_place(design, real, plan, 5, settings);
}

Inspection checked(const Mesh& design, const Mesh& real, bool with_normals) {
  test::ScannerSettings settings;
  settings.with_normals = with_normals;
  return checked(design, real, settings);
}

/// The same, searched for in the usual run as well.
Inspection checked_from_any_pose(const Mesh& design, const Mesh& real,
                                 test::ScannerSettings settings) {
  settings.points = 30000;
  Plan plan;
  plan.scan_units = Unit::Mm;
  return test::check_made(design, real, plan, 5, settings);
}

/// The worst failing region of a kind whose centre lies within `apart_mm` of a place.
const Region* failing_region(const Inspection& inspection, RegionKind kind, const Vector3d& at_mm,
                             double apart_mm) {
  for (const Region& region : inspection.verdict.regions) {
    if (region.outcome == Outcome::Fail && region.kind == kind &&
        (region.center_mm - at_mm).norm() < apart_mm) {
      return &region;
    }
  }
  return nullptr;
}

/// What is said of the hole of the design nearest to a place; no plan of these tests names one.
HoleState state_of_hole(const Inspection& inspection, const Vector3d& at_mm) {
  const OtherHole* nearest = nullptr;
  for (const OtherHole& hole : inspection.verdict.other_holes) {
    const double apart = (hole.center_mm - at_mm).norm();
    if (nearest == nullptr || apart < (nearest->center_mm - at_mm).norm()) nearest = &hole;
  }
  EXPECT_NE(nearest, nullptr);
  return nearest == nullptr ? HoleState::Unseen : nearest->state;
}

Features without(bool Features::*feature, double thickness_mm = 3.0) {
  Features out;
  out.thickness_mm = thickness_mm;
  out.*feature = false;
  return out;
}

TEST(Features, PlateThatHasThemAllPasses) {
  for (const bool with_normals : normals_by_turns(0)) {
    test::ScannerSettings settings;
    settings.with_normals = with_normals;
    const Inspection out = checked_from_any_pose(feature_plate({}), feature_plate({}), settings);
    EXPECT_EQ(out.verdict.outcome, Outcome::Pass) << reasons_of(out);
    ASSERT_EQ(out.verdict.other_holes.size(), 2U);
    EXPECT_EQ(state_of_hole(out, {60, 15, 1.5}), HoleState::Measured);
    EXPECT_NE(state_of_hole(out, {30, 45, 1.5}), HoleState::Closed);
  }
}

// The region lies where the feature ends in the design, and is shy by its height.
TEST(Features, BossRibOrTabThatIsNotThereIsShyByItsHeight) {
  struct Case {
    bool Features::*feature;
    Vector3d end_mm;
    double apart_mm, height_mm;
  };
  const std::vector<Case> cases = {{&Features::boss, {25, 20, 15}, 4.0, 12.0},
                                   {&Features::rib, {65, 40.8, 11}, 16.0, 8.0},
                                   {&Features::tab, {102, 28, 1.5}, 9.0, 12.0}};
  int turn = 0;
  for (const Case& each : test::some_of(cases, 2)) {
    for (const bool with_normals : normals_by_turns(turn++)) {
      const Inspection out =
          checked(feature_plate({}), feature_plate(without(each.feature)), with_normals);
      const Region* region = failing_region(out, RegionKind::Shy, each.end_mm, each.apart_mm);
      ASSERT_NE(region, nullptr) << reasons_of(out);
      // Normals of the scan lean by up to 12° (four sigma): 2 % of the way, and noise.
      EXPECT_NEAR(region->peak_mm, -each.height_mm, 0.4) << reasons_of(out);
    }
  }
}

TEST(Features, TabOfThinSheetThatIsNotThereNeverPasses) {
  const Features all{1.0};
  const Inspection out =
      checked(feature_plate(all), feature_plate(without(&Features::tab, 1.0)), false);
  EXPECT_NE(out.verdict.outcome, Outcome::Pass);
}

TEST(Features, HoleThatWasNotDrilledIsProudAcrossIt) {
  for (const bool with_normals : normals_by_turns(0)) {
    const Inspection large =
        checked(feature_plate({}), feature_plate(without(&Features::hole)), with_normals);
    const Region* region = failing_region(large, RegionKind::Proud, {60, 15, 1.5}, 5.0);
    ASSERT_NE(region, nullptr) << reasons_of(large);
    EXPECT_GT(region->peak_mm, 2.0);  // up to 4 mm from the wall to the middle
    EXPECT_EQ(state_of_hole(large, {60, 15, 1.5}), HoleState::Closed);
  }
  for (const bool with_normals : normals_by_turns(1)) {
    const Inspection small =
        checked(feature_plate({}), feature_plate(without(&Features::small_hole)), with_normals);
    EXPECT_NE(failing_region(small, RegionKind::Proud, {30, 45, 1.5}, 2.5), nullptr)
        << reasons_of(small);
    EXPECT_EQ(state_of_hole(small, {30, 45, 1.5}), HoleState::Closed);
    EXPECT_EQ(state_of_hole(small, {60, 15, 1.5}), HoleState::Measured);
  }
}

/// A sheet of 1 mm: half of what is scanned of a hole's wall lies within 0.25 mm of a face.
Features thin_sheet() {
  Features out;
  out.thickness_mm = 1.0;
  out.small_hole_mm = 4.2;
  return out;
}

// Proud by 0.66 mm all round where 0.5 mm are allowed, 13 mm² of it.
TEST(Features, HoleTooSmallInThinSheetNeverPasses) {
  Features real = thin_sheet();
  real.small_hole_mm = 2.88;
  for (const bool with_normals : normals_by_turns(1)) {
    const Inspection out = checked(feature_plate(thin_sheet()), feature_plate(real), with_normals);
    EXPECT_NE(out.verdict.outcome, Outcome::Pass);
  }
}

TEST(Features, HoleTooManyInThinSheetNeverPasses) {
  Features real = thin_sheet();
  real.another_hole = true;
  for (const bool with_normals : normals_by_turns(0)) {
    const Inspection out = checked(feature_plate(thin_sheet()), feature_plate(real), with_normals);
    EXPECT_NE(out.verdict.outcome, Outcome::Pass);
  }
}

TEST(Features, HoleThatDoesNotGoThroughNeverPasses) {
  Features real;
  real.floor_mm = 1.2;
  for (const bool with_normals : normals_by_turns(1)) {
    const Inspection out = checked(feature_plate({}), feature_plate(real), with_normals);
    EXPECT_NE(out.verdict.outcome, Outcome::Pass);
    EXPECT_EQ(state_of_hole(out, {60, 15, 1.5}), HoleState::Closed);
  }
}

TEST(Features, ThinSheetAsDrawnPasses) {
  for (const bool with_normals : normals_by_turns(1)) {
    const Inspection out =
        checked(feature_plate(thin_sheet()), feature_plate(thin_sheet()), with_normals);
    EXPECT_EQ(out.verdict.outcome, Outcome::Pass) << reasons_of(out);
  }
}

// 12 and 8 mm high: their tops lie beyond the reach, their walls face no design face. A clamp looks
// the same, so it is no fail; but a part that has it must not pass.
TEST(Features, BossOrRibThatIsNotDrawnNeverPassesAndIsNamed) {
  int turn = 0;
  for (bool Features::*feature : {&Features::boss, &Features::rib}) {
    for (const bool with_normals : normals_by_turns(turn++)) {
      const Inspection out =
          checked(feature_plate(without(feature)), feature_plate({}), with_normals);
      EXPECT_NE(out.verdict.outcome, Outcome::Pass);
      EXPECT_NE(reasons_of(out).find("stands on the part"), std::string::npos) << reasons_of(out);
    }
  }
}

Mesh ball(const Vector3d& center_mm, double radius_mm) {
  return test::moved(test::sphere(radius_mm, 3),
                     Eigen::Isometry3d(Eigen::Translation3d(center_mm)));
}

// On a face, over an edge, in the inner corner, beside a hole: 3 mm wide and 1.5 to 3 mm high.
TEST(Features, BlobOfWeldIsProudWhereverItSits) {
  const Mesh part = test::bracket();
  struct Blob {
    Vector3d center;
    double radius;
    double height;   ///< above the face that it sits on
    double nearest;  ///< its point farthest from the bracket lies so far off: in the inner corner
                     ///< that is between both faces, each 1 mm from the centre
  };
  const Blob blobs[] = {{{55, 30, 4.2}, 1.8, 3.0, 3.0},
                        {{90, 30, 2.0}, 1.6, 1.6, 1.6},
                        {{4, 20, 4}, 1.8, 2.8, 1.0 + 1.8 / std::sqrt(2.0)},
                        {{40, 20.5, 3.3}, 1.6, 1.9, 1.9}};
  int turn = 0;
  for (const Blob& blob : blobs) {
    for (const bool with_normals : normals_by_turns(turn++)) {
      const Inspection out =
          checked(part, test::together({part, ball(blob.center, blob.radius)}), with_normals);
      const Region* region = failing_region(out, RegionKind::Proud, blob.center, 3.0);
      ASSERT_NE(region, nullptr) << blob.center.transpose() << reasons_of(out);
      // A median over 1.8 mm flattens a ball of 3.2 mm by up to a fifth of its radius.
      // Normals tell which face a point in the corner is of; without, the nearest is read.
      const double height = with_normals ? blob.height : blob.nearest;
      EXPECT_NEAR(region->peak_mm, height, 0.45) << blob.center.transpose();
    }
  }
}

/// A burr round the hole of 8 mm: a ring that stands on the upper face.
Mesh burr(double wide_mm, double high_mm) {
  const Vector3d kUp = Vector3d::UnitZ(), at(60, 15, 3);
  const test::Loop outer = test::circle(at, kUp, 8.0 + 2.0 * wide_mm, 60);
  const test::Loop inner = test::circle(at, kUp, 8.0, 60);
  test::SolidBuilder ring;
  ring.wall(outer, high_mm * kUp);
  ring.hole_wall(inner, high_mm * kUp);
  ring.face({outer, inner}, -kUp);
  ring.face({test::shifted(outer, high_mm * kUp), test::shifted(inner, high_mm * kUp)}, kUp);
  return ring.build();
}

// Of ten points a mm² it is seen as many small patches on the face, the wall and across the hole,
// each too small to be judged; of 2.4 most of its points are of no face. Both passed.
TEST(Features, BurrRoundAHoleNeverPasses) {
  int turn = 0;
  for (const double wide_mm : test::some_of<double>({0.3, 0.5}, 1)) {
    for (const bool with_normals : normals_by_turns(turn++)) {
      test::ScannerSettings settings;
      settings.with_normals = with_normals;
      const Mesh real = test::together({feature_plate({}), burr(wide_mm, 1.0)});
      const Inspection out = checked(feature_plate({}), real, settings, 120'000);
      EXPECT_NE(out.verdict.outcome, Outcome::Pass) << wide_mm << with_normals;
    }
    test::ScannerSettings coarse;
    coarse.with_normals = false;
    const Mesh real = test::together({feature_plate({}), burr(wide_mm, 1.0)});
    EXPECT_NE(checked(feature_plate({}), real, coarse).verdict.outcome, Outcome::Pass) << wide_mm;
  }
}

TEST(Features, BenchAndClampAreSetAsideAndHideNoBlob) {
  const Mesh part = test::bracket();
  test::ScannerSettings settings;
  settings.bench = settings.clamp = true;
  settings.stray_share = 0.02;
  for (const bool with_normals : test::some_of<bool>({false, true}, 1)) {
    settings.with_normals = with_normals;
    const Inspection good = checked_from_any_pose(part, part, settings);
    EXPECT_EQ(good.verdict.outcome, Outcome::Pass) << reasons_of(good);
    EXPECT_GT(count_of(good.deviations, Reading::Beside), 100U);
    EXPECT_GT(count_of(good.deviations, Reading::TooFar), 100U);
    const Inspection blobbed =
        checked(part, test::together({part, ball({55, 30, 4}, 1.8)}), settings);
    EXPECT_NE(failing_region(blobbed, RegionKind::Proud, {55, 30, 3}, 1.5), nullptr)
        << reasons_of(blobbed);
  }
}

/// Two jaws, each 12 × 14 mm, about (x, y) on both faces of the plate.
Mesh jaws(double x, double y, double high_mm) {
  const auto jaw = [&](double low, double high) {
    return test::box({x - 6, y - 7, low}, {x + 6, y + 7, high});
  };
  return test::together({jaw(3.02, 3.0 + high_mm), jaw(-high_mm, -0.02)});
}

// Their tops lie within the reach and look as the faces do: they read as proud by 5 mm. Over the
// edge the sides of the jaws read as proud of it; higher ones show their sides alone.
TEST(Features, ClampThatGripsThePlateNeitherFailsNorPassesIt) {
  int turn = 0;
  struct Place {
    double x, y, high_mm;
  };
  for (const Place& at : test::some_of<Place>({{78, 28, 5}, {70, 57, 15}, {70, 57, 5}}, 2)) {
    for (const bool with_normals : normals_by_turns(turn++)) {
      const Mesh plate = feature_plate({});
      const Mesh clamped = test::together({plate, jaws(at.x, at.y, at.high_mm)});
      const Inspection out = checked(plate, clamped, with_normals);
      EXPECT_EQ(out.verdict.outcome, Outcome::Undecided) << at.x << at.high_mm << reasons_of(out);
      EXPECT_NE(reasons_of(out).find("if it is a clamp"), std::string::npos) << reasons_of(out);
    }
  }
}

// A lump on one face, as high as a jaw, is a fault: nothing holds against it.
TEST(Features, LumpOnOneFaceOfThePlateFails) {
  const Mesh plate = feature_plate({});
  const Mesh lump = test::box({72, 21, 2.9}, {84, 35, 8});
  const Inspection out = checked(plate, test::together({plate, lump}), true);
  EXPECT_NE(failing_region(out, RegionKind::Proud, {78, 28, 3}, 5.0), nullptr) << reasons_of(out);
}

}  // namespace
}  // namespace trammel
