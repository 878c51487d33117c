#include "trammel/judge/bolt_up.hpp"

#include <gtest/gtest.h>

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

}  // namespace
}  // namespace trammel
