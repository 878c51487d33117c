#include "trammel/judge/bolt_up.hpp"

#include <gtest/gtest.h>

#include <Eigen/Geometry>

namespace trammel {
namespace {

using Eigen::Vector3d;

struct Group {
  Plan plan;
  std::vector<HoleResult> holes;

  void add(const std::string& name, const Vector3d& at, const Vector3d& off, double width_mm,
           const std::string& group = "") {
    HoleCheck check;
    check.name = name;
    check.at_mm = at;
    check.bolt_mm = 8.0;
    check.group = group;
    plan.holes.push_back(check);
    HoleResult result;
    result.name = name;
    result.nominal_mm = at;
    result.offset_mm = off;
    result.free_width_mm = width_mm;
    result.play_uncertainty_mm = 0.05;
    holes.push_back(result);
  }
};

Group two_holes(double apart_by_mm) {
  Group out;
  out.add("A", {0, 0, 3}, {0, 0, 0}, 8.5);
  out.add("B", {80, 0, 3}, {apart_by_mm, 0, 0}, 8.5);
  return out;
}

BoltUp only(const Group& group) {
  const auto ups = bolt_up(group.plan, group.holes);
  EXPECT_EQ(ups.size(), 1u);
  return ups.empty() ? BoltUp{} : ups.front();
}

TEST(BoltUp, HalfOfWhatThePitchIsOffIsTakenFromThePlay) {
  // Slack (8.5 − 8) / 2 = 0.25 a hole; 0.2 mm of pitch costs either hole 0.1.
  const BoltUp up = only(two_holes(0.2));
  EXPECT_NEAR(up.play_mm, 0.15, 1e-5);
  EXPECT_EQ(up.outcome, Outcome::Pass);
  EXPECT_NEAR(up.shift_mm.x(), -0.1, 1e-4);
}

TEST(BoltUp, WithinUOfNoPlayItIsUndecided) {
  EXPECT_EQ(only(two_holes(0.5 - 0.09)).outcome, Outcome::Undecided);
  EXPECT_EQ(only(two_holes(0.5 + 0.09)).outcome, Outcome::Undecided);
  EXPECT_EQ(only(two_holes(0.5 - 0.11)).outcome, Outcome::Pass);
}

TEST(BoltUp, NoMeansOneHoleToOpenWithTheWayToGo) {
  const BoltUp up = only(two_holes(1.2));
  EXPECT_EQ(up.outcome, Outcome::Fail);
  ASSERT_EQ(up.openings.size(), 1u);
  const HoleOpening& opening = up.openings[0];
  // One hole gives 0.25 − U = 0.2, the other is left 1.0 mm off and must clear U as well:
  // 8 + 2 · 1.05 = 10.1, to the next tenth (the search stops within a micrometre).
  EXPECT_NEAR(opening.diameter_mm, 10.1, 0.1001);
  EXPECT_GT(std::abs(opening.towards.x()), 0.999);
  EXPECT_NE(up.words.find("open hole " + opening.hole), std::string::npos) << up.words;
}

TEST(BoltUp, AHoleThatWasNotMeasuredLeavesItOpen) {
  Group group = two_holes(0.0);
  group.holes[1].free_width_mm.reset();
  const BoltUp up = only(group);
  EXPECT_EQ(up.outcome, Outcome::Undecided);
  EXPECT_NE(up.words.find("hole B was not measured"), std::string::npos);
}

TEST(BoltUp, AHoleThatWasNotMadeLetsNoBoltThrough) {
  Group group = two_holes(0.0);
  group.holes[1].offset_mm.reset();
  group.holes[1].free_width_mm.reset();
  group.holes[1].state = HoleState::Closed;
  const BoltUp up = only(group);
  EXPECT_EQ(up.outcome, Outcome::Fail);
  EXPECT_EQ(up.words, "The bolts do not all go through: hole B is missing");
  EXPECT_TRUE(up.openings.empty());
}

TEST(BoltUp, ANamedGroupOfCrossedHolesIsUndecidedOthersFormGroupsByDirection) {
  Group crossed = two_holes(0.0);
  crossed.holes[1].axis = Vector3d::UnitX();
  EXPECT_TRUE(bolt_up(crossed.plan, crossed.holes).empty());
  for (HoleCheck& hole : crossed.plan.holes)
    hole.group = "floor";
  EXPECT_EQ(only(crossed).outcome, Outcome::Undecided);
}

TEST(BoltUp, OnlyOneNamedGroupOfAllHolesStandsForTheirPlaces) {
  Group group = two_holes(0.0);
  EXPECT_FALSE(bolts_up_in_group(group.plan, group.plan.holes[0]));
  for (HoleCheck& hole : group.plan.holes)
    hole.group = "floor";
  EXPECT_TRUE(bolts_up_in_group(group.plan, group.plan.holes[0]));
  group.add("C", {0, 40, 3}, {0, 0, 0}, 8.5, "wall");
  EXPECT_FALSE(bolts_up_in_group(group.plan, group.plan.holes[0]));
}

TEST(BoltUp, GroupsAreJudgedApartAndOneHoleIsNoGroup) {
  Group group = two_holes(0.0);
  group.add("C", {0, 40, 3}, {2, 0, 0}, 8.5, "foot");
  EXPECT_EQ(bolt_up(group.plan, group.holes).size(), 1u);
  group.add("D", {80, 40, 3}, {0, 0, 0}, 8.5, "foot");
  const auto ups = bolt_up(group.plan, group.holes);
  ASSERT_EQ(ups.size(), 2u);
  EXPECT_EQ(ups[0].outcome, Outcome::Pass);
  EXPECT_EQ(ups[1].group, "foot");
  EXPECT_EQ(ups[1].outcome, Outcome::Fail);
}

/// Four holes of a plate, bolts of 8 mm in holes of 8.5, and a mate that has them `off_mm` from
/// there, lying anyhow. The part's face on it is its underside.
struct OnMate {
  Group group;
  Mate mate;

  explicit OnMate(const std::vector<Vector3d>& off_mm) {
    const Eigen::Isometry3d lies = Eigen::Translation3d(300, -40, 90) *
                                   Eigen::AngleAxisd(2.4, Vector3d(0.3, -0.5, 0.8).normalized());
    const Vector3d at[] = {{0, 0, 3}, {80, 0, 3}, {80, 50, 3}, {10, 50, 3}};
    for (std::size_t i = 0; i < 4; ++i) {
      group.add(std::string(1, static_cast<char>('A' + i)), at[i], Vector3d::Zero(), 8.5);
      group.holes.back().depth_mm = 3.0;
      MateHole hole;
      hole.center_mm = lies * (at[i] + off_mm[i] - Vector3d(0, 0, 3));
      hole.axis = hole.face_normal = lies.linear() * Vector3d::UnitZ();
      mate.holes.push_back(hole);
    }
    mate.file = "frame.ply";
    mate.sha256 = "abc";
    mate.faces_out = true;
    group.plan.mates.resize(1);
  }

  [[nodiscard]] BoltUp up(const Vector3d& face_normal = -Vector3d::UnitZ()) const {
    const auto ups = bolt_up(group.plan, group.holes, {{mate, face_normal, ""}});
    EXPECT_EQ(ups.size(), 1u);
    return ups.empty() ? BoltUp{} : ups.front();
  }
};

const Vector3d kNone = Vector3d::Zero();

TEST(BoltUp, MateAsDrawnLeavesTheWholePlayWhereverItWasScanned) {
  const BoltUp up = OnMate({kNone, kNone, kNone, kNone}).up();
  EXPECT_EQ(up.outcome, Outcome::Pass) << up.words;
  EXPECT_NEAR(up.play_mm, 0.25, 1e-5);
  EXPECT_EQ(up.mate, "frame.ply");
  EXPECT_EQ(up.mate_sha256, "abc");
  EXPECT_EQ(up.shift_mm, kNone);
  EXPECT_NE(up.words.find("which stand as in frame.ply"), std::string::npos) << up.words;
}

// A and B stand 0.3 mm too far apart, and so do D and C: 0.15 a hole wherever the part goes.
TEST(BoltUp, MateThatIsTooLongTakesHalfOfThatFromThePlay) {
  const Vector3d off(0.3, 0, 0);
  const BoltUp up = OnMate({kNone, off, off, kNone}).up();
  EXPECT_EQ(up.outcome, Outcome::Pass);
  EXPECT_NEAR(up.play_mm, 0.10, 2e-3);  // the pattern turns a little for its slanted side
}

TEST(BoltUp, BoltOfTheMateOffItsPlaceNamesTheHoleToOpen) {
  const BoltUp up = OnMate({kNone, kNone, {0, 2, 0}, kNone}).up();
  EXPECT_EQ(up.outcome, Outcome::Fail) << up.words;
  ASSERT_EQ(up.openings.size(), 1u);
  EXPECT_EQ(up.openings[0].hole, "C");
  // The others give up to 0.2 mm each; the bolt is left at most 2 mm off and at least 1.6.
  EXPECT_GT(up.openings[0].diameter_mm, 8.0 + 2 * 1.3);
  EXPECT_LE(up.openings[0].diameter_mm, 8.0 + 2 * 2.05 + 0.1);
  EXPECT_GT(up.openings[0].towards.y(), 0.9);
  EXPECT_EQ(up.words.find("another pattern"), std::string::npos) << up.words;
}

TEST(BoltUp, MateIsNotMirroredToFit) {
  // The part's other face on the same mate: A to D run the wrong way round.
  const BoltUp up = OnMate({kNone, kNone, kNone, kNone}).up(Vector3d::UnitZ());
  EXPECT_EQ(up.outcome, Outcome::Fail);
  EXPECT_NE(up.words.find("another pattern"), std::string::npos) << up.words;
  EXPECT_TRUE(up.openings.empty());  // nobody drills such holes
}

TEST(BoltUp, MateWhoseSideIsNotKnownIsToldOnlyWhereBothSidesAgree) {
  OnMate slanted({kNone, kNone, kNone, kNone});
  slanted.mate.faces_out = false;
  EXPECT_EQ(slanted.up().outcome, Outcome::Undecided);
  EXPECT_NE(slanted.up().words.find("has no normals"), std::string::npos);
  OnMate off({kNone, kNone, {0, 9, 0}, kNone});
  off.mate.faces_out = false;
  EXPECT_EQ(off.up().outcome, Outcome::Fail);
  // Told is the side that lacks less, not a mirrored pattern 20 mm and more away from it.
  OnMate known({kNone, kNone, {0, 2, 0}, kNone});
  const double lack_mm = known.up().play_mm;
  known.mate.faces_out = false;
  EXPECT_EQ(known.up().outcome, Outcome::Fail);
  EXPECT_NEAR(known.up().play_mm, lack_mm, 1e-6);
  // Two bolts look the same in a mirror.
  OnMate two({kNone, kNone, kNone, kNone});
  two.mate.faces_out = false;
  two.mate.holes.resize(2);
  two.group.holes.resize(2);
  two.group.plan.holes.resize(2);
  EXPECT_EQ(two.up().outcome, Outcome::Pass) << two.up().words;
}

TEST(BoltUp, UOfTheMateCountsIn) {
  OnMate on({kNone, kNone, kNone, kNone});
  on.mate.uncertainty_mm = 0.12;
  for (MateHole& hole : on.mate.holes)
    hole.center_error_mm = 0.025;
  // √(0.05² + (2 · 0.025)² + 0.12²)
  EXPECT_NEAR(on.up().uncertainty_mm, 0.13928, 1e-5);
  EXPECT_EQ(on.up().outcome, Outcome::Pass);
  on.mate.uncertainty_mm = 0.25;
  EXPECT_EQ(on.up().outcome, Outcome::Undecided);
}

TEST(BoltUp, BoltThatLeansTakesThePartsThicknessTimesThat) {
  OnMate on({kNone, kNone, kNone, kNone});
  const Vector3d sideways = on.mate.holes[0].axis.unitOrthogonal();
  on.mate.holes[0].axis = (on.mate.holes[0].axis + 0.02 * sideways).normalized();
  EXPECT_NEAR(on.up().play_mm, 0.25 - 3.0 * 0.02, 1e-5);  // no shift gives one hole more
  on.mate.holes[0].axis = (on.mate.holes[0].axis + 0.04 * sideways).normalized();
  EXPECT_EQ(on.up().outcome, Outcome::Undecided);
}

TEST(BoltUp, MateThatIsNotKnownNeverMeansYes) {
  OnMate unseen({kNone, kNone, kNone, kNone});
  unseen.mate.holes[2].reason = "no rim of about its size was seen at its place";
  EXPECT_EQ(unseen.up().outcome, Outcome::Undecided);
  EXPECT_NE(unseen.up().words.find("for hole C was not measured in frame.ply"), std::string::npos)
      << unseen.up().words;
  OnMate bent({kNone, kNone, kNone, kNone});
  bent.mate.holes[1].face_normal = bent.mate.holes[1].face_normal.unitOrthogonal();
  EXPECT_EQ(bent.up().outcome, Outcome::Undecided);
  const OnMate good({kNone, kNone, kNone, kNone});
  EXPECT_EQ(good.up(Vector3d::UnitX()).outcome, Outcome::Undecided);  // not square to the holes
  const auto none = bolt_up(good.group.plan, good.group.holes, {});
  ASSERT_EQ(none.size(), 1u);
  EXPECT_EQ(none[0].outcome, Outcome::Undecided);
  const auto no_face = bolt_up(good.group.plan, good.group.holes,
                               {{good.mate, std::nullopt, "it is not flat in the design"}});
  EXPECT_EQ(no_face[0].outcome, Outcome::Undecided);
}

TEST(BoltUp, HolesOnAMateAreToldOfThereAndNotAtTheirDrawnPlaces) {
  const OnMate on({kNone, kNone, kNone, kNone});
  EXPECT_TRUE(bolts_up_in_group(on.group.plan, on.group.plan.holes[0]));
}

// "Open hole A to 8.1 mm, or make it longer by 0.4 mm towards nowhere": it was 8.4 mm wide.
TEST(BoltUp, AHoleThatLeansIsOpenedByItsLeanToNoSide) {
  Group group = two_holes(0.0);
  group.holes[0].diameter_mm = 8.5;
  group.holes[0].position_mm = 1.2;  // 0.6 mm off at either end
  group.holes[0].free_width_mm = 7.3;
  const BoltUp up = only(group);
  EXPECT_EQ(up.outcome, Outcome::Fail);
  ASSERT_EQ(up.openings.size(), 1u);
  EXPECT_GE(up.openings[0].diameter_mm, 9.2);
  EXPECT_LE(up.openings[0].diameter_mm, 9.5);
  EXPECT_EQ(up.words.find("nowhere"), std::string::npos) << up.words;
}

}  // namespace
}  // namespace trammel
