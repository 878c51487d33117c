#include "trammel/judge/judge_hole.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <optional>

#include "support/shapes.hpp"
#include "support/solid_builder.hpp"
#include "support/virtual_scanner.hpp"
#include "support/wall_points.hpp"
#include "trammel/base/constants.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;
using test::OrientedPoints;
using test::wall_of;
using test::WallShape;

/// A plate of 3 mm with a Ø8.4 hole at (30, 20), and a scanned wall there.
class JudgeHole : public testing::Test {
 protected:
  void SetUp() override {
    check_.name = "A";
    check_.at_mm = {30, 20, 3};
    alignment_.found = alignment_.converged = true;
  }

  HoleResult judged(double off_mm, double diameter_mm, double second_diameter_mm = 0.0) {
    WallShape shape;
    shape.center_mm = {30 + off_mm, 20, 0};
    shape.radius_mm = diameter_mm / 2;
    shape.second_radius_mm = second_diameter_mm / 2;
    scan_ = wall_of(shape, 400, Rng(1));
    return judged();
  }
  HoleResult judged() {
    Deviations deviations;
    const auto count = scan_.points_mm.cols();
    deviations.reading.assign(static_cast<std::size_t>(count),
                              off_mm_ ? Reading::Measured : Reading::Beside);
    deviations.foot_mm = scan_.points_mm;
    deviations.signed_mm = Eigen::VectorXd::Constant(count, off_mm_.value_or(0.0));
    return judge_hole(
        check_,
        {plate_, alignment_, {scan_.points_mm, scan_.normals, deviations, 0.0, 0.02, 0.5}, 0.05});
  }

  Mesh plate_ = test::plate(60, 40, 3, {{{30, 20}, 8.4, 48}});
  HoleCheck check_;
  Alignment alignment_;
  OrientedPoints scan_;
  std::optional<double> off_mm_;  ///< what all points read, each at its own place; none: of no face
};

// U = 0.05 and an exact wall: U(position) = 2 · 0.05 = 0.1, U(diameter) = 2 · 0.05 = 0.1.
TEST_F(JudgeHole, JudgesThePositionWithItsUncertainty) {
  check_.position_mm = 0.5;
  EXPECT_EQ(judged(0.0, 8.4).outcome, Outcome::Pass);
  EXPECT_EQ(judged(0.19, 8.4).outcome, Outcome::Pass);       // position 0.38 < 0.4
  EXPECT_EQ(judged(0.21, 8.4).outcome, Outcome::Undecided);  // 0.42
  EXPECT_EQ(judged(0.29, 8.4).outcome, Outcome::Undecided);  // 0.58
  EXPECT_EQ(judged(0.31, 8.4).outcome, Outcome::Fail);       // 0.62 > 0.6
}

// ISO 1101 position of an axis is the diameter 2·√(dx² + dy²): dx = 0.12, dy = 0.15 give 0.3842.
TEST_F(JudgeHole, StatesThePositionAsADiameter) {
  check_.position_mm = 0.5;
  WallShape shape;
  shape.center_mm = {30.12, 20.15, 0};
  shape.radius_mm = 4.2;
  scan_ = wall_of(shape, 400, Rng(1));
  const HoleResult result = judged();
  ASSERT_TRUE(result.position_mm && result.offset_mm && result.diameter_mm);
  EXPECT_NEAR(*result.position_mm, 0.3842, 5e-5);
  EXPECT_LT((*result.offset_mm - Vector3d(0.12, 0.15, 0)).norm(), 1e-9);
  EXPECT_NEAR(*result.diameter_mm, 8.4, 1e-9);
  EXPECT_NEAR(result.nominal_diameter_mm, 8.4, 1e-9);
  EXPECT_LT((result.nominal_mm - Vector3d(30, 20, 3)).norm(), 1e-9);
  EXPECT_EQ(result.points, 400);
}

TEST_F(JudgeHole, JudgesTheDiameterWithItsUncertainty) {
  check_.diameter_mm = Limits{8.2, 8.8};
  EXPECT_EQ(judged(0, 8.31).outcome, Outcome::Pass);
  EXPECT_EQ(judged(0, 8.29).outcome, Outcome::Undecided);
  EXPECT_EQ(judged(0, 8.11).outcome, Outcome::Undecided);
  EXPECT_EQ(judged(0, 8.09).outcome, Outcome::Fail);
  EXPECT_EQ(judged(0, 8.69).outcome, Outcome::Pass);
  EXPECT_EQ(judged(0, 8.91).outcome, Outcome::Fail);
}

TEST_F(JudgeHole, LetsABoltThroughOnlyWhereItProvablyFits) {
  check_.bolt_mm = 8.0;
  check_.position_mm = 2.0;  // the place is judged by its own zone
  EXPECT_EQ(judged(0.5, 8.4).outcome, Outcome::Pass);
  EXPECT_EQ(judged(0.0, 8.05).outcome, Outcome::Undecided);
  EXPECT_EQ(judged(0.0, 7.85).outcome, Outcome::Fail);
}

TEST_F(JudgeHole, WithoutAPositionTheBoltMustPassAtTheNominalPlace) {
  check_.bolt_mm = 8.0;
  EXPECT_EQ(judged(0.0, 8.4).outcome, Outcome::Pass);
  const HoleResult off = judged(0.3, 8.4);  // 8.4 − 0.6 is no 8.0
  EXPECT_EQ(off.outcome, Outcome::Undecided);
  ASSERT_EQ(off.reasons.size(), 1u);
  EXPECT_NE(off.reasons[0].find("a shift of the whole part may still let it in"),
            std::string::npos);
}

TEST_F(JudgeHole, DoesNotLetABoltThroughAnOvalHoleOfTheRightAverage) {
  check_.bolt_mm = 8.0;
  check_.position_mm = 2.0;
  const HoleResult oval = judged(0.0, 8.5, 7.9);  // average 8.2: provably wider
  EXPECT_NE(oval.outcome, Outcome::Pass);
  EXPECT_GT(*oval.diameter_mm, 8.1);
}

TEST_F(JudgeHole, TakesTheWorstOfWhatIsAsked) {
  check_.position_mm = 0.5;
  check_.diameter_mm = Limits{8.2, 8.8};
  check_.bolt_mm = 8.0;
  EXPECT_EQ(judged(0.0, 8.4).outcome, Outcome::Pass);
  const HoleResult result = judged(0.21, 7.8);
  EXPECT_EQ(result.outcome, Outcome::Fail);
  EXPECT_EQ(result.reasons.size(), 3u);
}

TEST_F(JudgeHole, ListsAHoleOfWhichNothingIsAsked) {
  const HoleResult result = judged(0.1, 8.4);
  EXPECT_EQ(result.outcome, Outcome::Listed);
  EXPECT_TRUE(result.diameter_mm);
}

TEST_F(JudgeHole, IsUndecidedWhereTheHoleWasNotSeen) {
  check_.position_mm = 100.0;
  const HoleResult result = judged();
  EXPECT_EQ(result.outcome, Outcome::Undecided);
  EXPECT_FALSE(result.position_mm || result.offset_mm || result.diameter_mm);
  ASSERT_EQ(result.reasons.size(), 1u);
  EXPECT_EQ(result.reasons[0], "its wall was not seen; the face around it was not seen");
  check_ = {};
  check_.at_mm = {30, 20, 3};
  EXPECT_EQ(judged().outcome, Outcome::Undecided);
}

// Straight from above and below no point lies on the wall.
TEST_F(JudgeHole, JudgesByTheRimsWhereTheWallWasNotSeen) {
  check_.position_mm = 0.5;
  check_.diameter_mm = Limits{8.0, 8.8};
  const auto scanned = [&](double off_mm, const std::vector<Vector3d>& views) {
    test::ScannerSettings settings;
    settings.views = views;
    settings.points = 30000 * views.size();
    settings.random_pose = false;
    const Mesh made = test::plate(60, 40, 3, {{{30 + off_mm, 20}, 8.4, 96}});
    const Scan scan = test::scan_of(made, settings, Rng(5)).scan;
    scan_ = {scan.points_mm, scan.normals};
    return judged();
  };
  const Vector3d above = Vector3d::UnitZ(), below = -above;
  const HoleResult good = scanned(0.0, {above, below});
  EXPECT_EQ(good.outcome, Outcome::Pass) << testing::PrintToString(good.reasons);
  EXPECT_EQ(good.rims, 2);
  EXPECT_TRUE(good.free_width_mm);
  EXPECT_EQ(scanned(0.5, {above, below}).outcome, Outcome::Fail);
  const HoleResult half = scanned(0.0, {above});
  EXPECT_EQ(half.outcome, Outcome::Undecided) << "what lies behind one rim may be in the way";
  EXPECT_EQ(half.rims, 1);
  EXPECT_FALSE(half.free_width_mm);
  EXPECT_EQ(scanned(0.5, {below}).outcome, Outcome::Fail) << "a rim off its place is proof enough";
}

/// Points 0.5 mm apart within `radius_mm` of (30, 20) at a level, that look up or down.
OrientedPoints disc(double level_mm, double up, double radius_mm) {
  return test::level_disc({30, 20, level_mm}, radius_mm, up);
}

TEST_F(JudgeHole, FailsAHoleThatWasNotMadeWhateverIsAsked) {
  for (const bool asked : {true, false}) {
    if (asked) check_.position_mm = 100.0;
    scan_ = disc(3.0, 1.0, 8.0);
    scan_.add(disc(0.0, -1.0, 8.0));
    const HoleResult result = judged();
    EXPECT_EQ(result.outcome, Outcome::Fail);
    EXPECT_EQ(result.state, HoleState::Closed);
    ASSERT_EQ(result.reasons.size(), 1u);
    EXPECT_EQ(result.reasons[0], "a scanned surface lies across it");
    check_.position_mm.reset();
  }
  scan_ = disc(0.0, 1.0, 8.0);  // the bench, seen through the hole
  EXPECT_EQ(judged().outcome, Outcome::Undecided);
  EXPECT_EQ(judged().state, HoleState::Unseen);
}

TEST_F(JudgeHole, LeavesAHoleOpenThatEndsInAFloorAcrossIt) {
  check_.diameter_mm = Limits{8.2, 8.8};
  WallShape shape;
  shape.center_mm = {30, 20, 0};
  shape.radius_mm = 4.2;
  scan_ = wall_of(shape, 400, Rng(1));
  scan_.add(disc(1.0, 1.0, 4.0));
  const HoleResult result = judged();
  EXPECT_EQ(result.outcome, Outcome::Undecided);
  EXPECT_EQ(result.state, HoleState::Measured);
  EXPECT_TRUE(result.diameter_mm);
}

/// What of them lies outside a hole of 8.4 mm whose axis is there.
OrientedPoints outside(const OrientedPoints& scan, double x_mm) {
  OrientedPoints out;
  for (Eigen::Index i = 0; i < scan.points_mm.cols(); ++i)
    if ((scan.points_mm.col(i).head<2>() - Eigen::Vector2d(x_mm, 20)).norm() > 4.2)
      out.add(test::looking({Vector3d(scan.points_mm.col(i))}, scan.normals.col(i)));
  return out;
}

// Drilled 4 mm beside its place: what was left standing where it is drawn is no floor of it.
TEST_F(JudgeHole, AsksWhereItWasFoundWhetherItGoesThrough) {
  check_.diameter_mm = Limits{8.2, 8.8};
  WallShape shape;
  shape.center_mm = {34, 20, 0};
  shape.radius_mm = 4.2;
  scan_ = wall_of(shape, 400, Rng(1));
  scan_.add(outside(disc(3.0, 1.0, 14.0), 34));
  scan_.add(outside(disc(0.0, -1.0, 14.0), 34));
  const HoleResult through = judged();
  EXPECT_EQ(through.outcome, Outcome::Pass) << through.reasons.front();
  ASSERT_TRUE(through.position_mm && through.free_width_mm);
  EXPECT_NEAR(*through.position_mm, 8.0, 0.05);
  EXPECT_NEAR(*through.free_width_mm, 8.4, 0.05);
  const OrientedPoints wall = scan_;
  for (const double floor_mm : {0.0, 1.0, 2.0}) {  // 0: of the sheet below, which was left whole
    scan_ = wall;
    scan_.add(test::level_disc({34, 20, floor_mm}, 4.0, floor_mm > 0.0 ? 1.0 : -1.0));
    const HoleResult ends = judged();
    EXPECT_EQ(ends.outcome, Outcome::Undecided) << floor_mm;
    EXPECT_FALSE(ends.free_width_mm) << floor_mm;
  }
}

/// A pin of 8 mm, 6 mm high, on a plate of 3 mm at (30, 20).
Mesh plate_with_pin() {
  const Vector3d up = Vector3d::UnitZ();
  const test::Loop outline{{0, 0, 0}, {60, 0, 0}, {60, 40, 0}, {0, 40, 0}};
  const test::Loop foot = test::circle({30, 20, 3}, up, 8, 48);
  test::SolidBuilder solid;
  solid.wall(outline, 3 * up);
  solid.face({outline}, -up);
  solid.wall(foot, 6 * up);
  solid.face({test::shifted(outline, 3 * up), foot}, up);
  solid.face({test::shifted(foot, 6 * up)}, up);
  return solid.build();
}

TEST_F(JudgeHole, FailsAPinWhoseFaceGoesOnBeneathIt) {
  plate_ = plate_with_pin();
  check_.kind = RoundKind::Pin;
  check_.at_mm = {30, 20, 9};
  scan_ = disc(3.0, 1.0, 10.0);
  const HoleResult missing = judged();
  EXPECT_EQ(missing.outcome, Outcome::Fail);
  EXPECT_EQ(missing.state, HoleState::Missing);
  ASSERT_EQ(missing.reasons.size(), 1u);
  EXPECT_EQ(missing.reasons[0], "a scanned surface lies where it should stand");
  off_mm_ = -2.0;  // read through missing material
  EXPECT_EQ(judged().state, HoleState::Missing);
  off_mm_ = 0.1;  // read on a surface that is drawn there: the floor of a bore
  EXPECT_EQ(judged().outcome, Outcome::Undecided);
  off_mm_.reset();
  scan_.add(disc(9.0, 1.0, 4.0));  // a ring's floor, and its end in place
  EXPECT_EQ(judged().outcome, Outcome::Undecided);
  scan_ = disc(9.0, 1.0, 4.0);  // its end, seen from above
  EXPECT_EQ(judged().outcome, Outcome::Undecided);
  scan_ = disc(6.5, 1.0, 4.0);  // a short one
  EXPECT_EQ(judged().outcome, Outcome::Undecided);
  scan_ = disc(0.0, -1.0, 10.0);  // the plate from below
  EXPECT_EQ(judged().outcome, Outcome::Undecided);
}

TEST_F(JudgeHole, IsUndecidedWhereTheDesignHasNoHole) {
  check_.at_mm = {5, 5, 3};
  check_.position_mm = 100.0;
  const HoleResult result = judged(0.0, 8.4);
  EXPECT_EQ(result.outcome, Outcome::Undecided);
  EXPECT_EQ(result.reasons[0], "the design has no round hole near the point given");
}

TEST_F(JudgeHole, IsUndecidedWhileThePlaceOfTheScanIsInDoubt) {
  check_.position_mm = 100.0;
  alignment_.ambiguous = true;
  EXPECT_EQ(judged(0.0, 8.4).outcome, Outcome::Undecided);
  alignment_ = {};
  EXPECT_EQ(judged(0.0, 8.4).outcome, Outcome::Undecided);
}

TEST_F(JudgeHole, CountsTheDoubtOfTheAlignmentAgainstThePositionAlone) {
  check_.position_mm = 0.5;
  alignment_.standard_error_mm = 0.2;
  const HoleResult open = judged(0.0, 8.4);
  EXPECT_EQ(open.outcome, Outcome::Undecided);
  // 2 · 2 · 0.2 = 0.8: no place at all is known to keep 0.5.
  ASSERT_FALSE(open.reasons.empty());
  EXPECT_NE(open.reasons.front().find("is larger than it"), std::string::npos)
      << open.reasons.front();
  check_.position_mm.reset();
  check_.diameter_mm = Limits{8.2, 8.8};
  EXPECT_EQ(judged(0.0, 8.4).outcome, Outcome::Pass);
}

TEST(HoleUncertainty, AddsFitPlaceAndBiasInSquares) {
  // 2·√((2·0.03)² + (2·0.04)² + 0.24²) = 2·√(0.01 + 0.0576) = 0.52; √((2·0.025)² + 0.48²) = 0.4826
  const auto u = hole_uncertainty(0.03, 0.025, 0.04, 0.24);
  EXPECT_NEAR(u.position_mm, 0.52, 1e-12);
  EXPECT_NEAR(u.diameter_mm, std::sqrt(0.0025 + 0.2304), 1e-12);
}

// 12 mm of wall that lean by 2° lean by 12 · tan 2° = 0.419 mm from end to end.
TEST_F(JudgeHole, TellsHowFarTheAxisLeansWhereItDoesBeyondDoubt) {
  plate_ = test::plate(60, 40, 12, {{{30, 20}, 8.4, 48}});
  check_.at_mm = {30, 20, 12};
  WallShape shape;
  shape.center_mm = {30, 20, 0};
  shape.radius_mm = 4.2;
  shape.height_mm = 12.0;
  shape.noise_mm = 0.02;
  scan_ = wall_of(shape, 600, Rng(2));
  EXPECT_FALSE(judged().tilt_mm.has_value());

  const Eigen::AngleAxisd turn(2.0 * kDegree, Vector3d::UnitY());
  const Vector3d middle(30, 20, 6);
  for (Eigen::Index i = 0; i < scan_.points_mm.cols(); ++i) {
    scan_.points_mm.col(i) = middle + turn * (scan_.points_mm.col(i) - middle);
    scan_.normals.col(i) = turn * scan_.normals.col(i);
  }
  const HoleResult leaning = judged();
  ASSERT_TRUE(leaning.tilt_mm.has_value());
  EXPECT_NEAR(*leaning.tilt_mm, 0.419, 0.02);
}

}  // namespace
}  // namespace trammel
