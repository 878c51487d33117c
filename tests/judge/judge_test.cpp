#include "trammel/judge/judge.hpp"

#include <gtest/gtest.h>

#include "judge/cell_fixture.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

test::CellFixture good() {
  return test::CellFixture([](const Vector3d&, const Vector3d&) { return 0.02; });
}

test::CellFixture dented() {
  return test::CellFixture(
      [](const Vector3d& p, const Vector3d& n) { return test::in_square(p, n, 8) ? -1.0 : 0.0; });
}

bool mentions(const std::vector<std::string>& texts, const std::string& word) {
  for (const std::string& text : texts) {
    if (text.find(word) != std::string::npos) return true;
  }
  return false;
}

TEST(Judge, PassesWhatIsSeenAndConforms) {
  const Verdict verdict = good().judged().verdict;
  EXPECT_EQ(verdict.outcome, Outcome::Pass);
  EXPECT_TRUE(verdict.reasons.empty());
}

TEST(Judge, FailsWhatIsProvenOutside) {
  const Verdict verdict = dented().judged().verdict;
  EXPECT_EQ(verdict.outcome, Outcome::Fail);
  EXPECT_TRUE(mentions(verdict.reasons, "shy"));
  EXPECT_FALSE(verdict.actions.empty());
}

TEST(Judge, NeverPassesAPoseInDoubt) {
  const auto outcome_with = [](auto&& spoil) {
    test::CellFixture f = good();
    spoil(f);
    const Verdict verdict = f.judged().verdict;
    EXPECT_FALSE(verdict.reasons.empty());
    return verdict.outcome;
  };
  using F = test::CellFixture;
  EXPECT_EQ(outcome_with([](F& f) { f.alignment.found = false; }), Outcome::Undecided);
  EXPECT_EQ(outcome_with([](F& f) { f.alignment.converged = false; }), Outcome::Undecided);
  EXPECT_EQ(outcome_with([](F& f) { f.alignment.ambiguous = true; }), Outcome::Undecided);
  EXPECT_EQ(outcome_with([](F& f) { f.alignment.doubts = {"odd"}; }), Outcome::Undecided);
  EXPECT_EQ(outcome_with([](F& f) { f.alignment.free_directions = {"slides"}; }),
            Outcome::Undecided);
  EXPECT_EQ(outcome_with([](F& f) { f.units.certain = false; }), Outcome::Undecided);
  EXPECT_EQ(outcome_with([](F& f) { f.tidy.isolated = f.tidy.read / 2; }), Outcome::Undecided);
}

TEST(Judge, APoseInDoubtProvesNoFaultEither) {
  test::CellFixture f = dented();
  f.alignment.ambiguous = true;
  const Verdict verdict = f.judged().verdict;
  EXPECT_EQ(verdict.outcome, Outcome::Undecided);
  EXPECT_EQ(verdict.regions.at(0).outcome, Outcome::Undecided);
  EXPECT_FALSE(verdict.regions.at(0).conformity.has_value());
}

TEST(Judge, TellsNoPlaceOfAPartWhosePlaceIsNotKnown) {
  test::CellFixture f = dented();
  f.alignment.found = false;
  const Judgement judged = f.judged();
  EXPECT_EQ(judged.verdict.outcome, Outcome::Undecided);
  EXPECT_TRUE(judged.verdict.regions.empty());
  EXPECT_EQ(judged.region_of_cell.size(), dented().judged().region_of_cell.size());
  EXPECT_EQ(judged.region_of_cell.maxCoeff(), 0);
  EXPECT_FALSE(mentions(judged.verdict.reasons, "near ("));
}

TEST(Judge, GivesTheProbabilityThatARegionConforms) {
  // 0.49 against 0.5 with u = U/2 = 0.025: Φ(0.4) = 0.6554 (table of the normal distribution).
  const test::CellFixture f(
      [](const Vector3d& p, const Vector3d& n) { return test::in_square(p, n, 8) ? -0.49 : 0.0; });
  const Verdict verdict = f.judged().verdict;
  EXPECT_NEAR(verdict.regions.at(0).conformity.value(), 0.6554, 5e-5);
  EXPECT_EQ(verdict.outcome, Outcome::Undecided);
}

TEST(Judge, IsUndecidedWhenTooLittleWasSeen) {
  const test::CellFixture f(
      [](const Vector3d&, const Vector3d& n) { return n.z() < -0.9 ? test::kUnseen : 0.0; });
  const Verdict verdict = f.judged().verdict;  // 59 % seen, 60 % asked for
  EXPECT_EQ(verdict.outcome, Outcome::Undecided);
  EXPECT_TRUE(mentions(verdict.reasons, "was seen"));
}

TEST(Judge, AProvenFaultFailsAlsoWhenMuchIsUnseen) {
  const test::CellFixture f([](const Vector3d& p, const Vector3d& n) {
    if (n.z() < -0.9) return test::kUnseen;
    return test::in_square(p, n, 8) ? 1.0 : 0.0;
  });
  EXPECT_EQ(f.judged().verdict.outcome, Outcome::Fail);
}

TEST(Judge, IsUndecidedWhenAnEndMayBeMissing) {
  const test::CellFixture f(
      [](const Vector3d& p, const Vector3d&) { return p.x() > 50 ? test::kUnseen : 0.0; });
  const Verdict verdict = f.judged().verdict;
  EXPECT_EQ(verdict.outcome, Outcome::Undecided);
  EXPECT_TRUE(mentions(verdict.reasons, "missing"));
}

TEST(Judge, UnseenZoneIsNotPassed) {
  test::CellFixture f([](const Vector3d& p, const Vector3d& n) {
    return n.z() > 0.9 && p.x() < 10 ? test::kUnseen : 0.0;
  });
  EXPECT_EQ(f.judged().verdict.outcome, Outcome::Pass);
  f.plan.zones.push_back({"mating face", BoxShape{{0, 0, 4.9}, {9, 40, 5.1}}, {0.2, 0.2}});
  EXPECT_EQ(f.judged().verdict.outcome, Outcome::Undecided);
}

TEST(Judge, TooCoarseAScanCannotProveSmallPatches) {
  test::CellFixture f = good();
  f.plan.least_area_mm2 = 0.01;
  const Verdict verdict = f.judged().verdict;
  EXPECT_EQ(verdict.outcome, Outcome::Undecided);
  EXPECT_TRUE(mentions(verdict.reasons, "coarse"));
}

Plan with_thickness(Plan plan, double either_mm) {
  plan.distances = {
      {"t", Vector3d(30, 20, 0), Vector3d(30, 20, 5), {}, Band{either_mm, either_mm}}};
  return plan;
}

// Both faces 0.2 mm proud, inside their band of 0.5: 5.4 mm, U = 2 · 0.05 mm.
TEST(Judge, ADistanceDecidesAsARegionDoes) {
  test::CellFixture f([](const Vector3d&, const Vector3d&) { return 0.2; });
  const auto judged = [&](double either_mm) {
    f.plan = with_thickness(f.plan, either_mm);
    return f.judged().verdict;
  };
  EXPECT_EQ(judged(0.51).outcome, Outcome::Pass);
  EXPECT_EQ(judged(0.45).outcome, Outcome::Undecided);
  EXPECT_TRUE(mentions(judged(0.45).reasons, "Distance t: 5.40 mm is too near to the limit"));
  EXPECT_EQ(judged(0.29).outcome, Outcome::Fail);
  EXPECT_TRUE(mentions(judged(0.29).reasons, "Distance t: 5.40 mm is more than 5.29 mm"));
  f.alignment.ambiguous = true;  // a pose that may be wrong proves no fault
  EXPECT_EQ(judged(0.29).distances[0].outcome, Outcome::Undecided);
  EXPECT_EQ(judged(0.29).outcome, Outcome::Undecided);
}

TEST(Judge, AClosedHoleThatNoPlanNamesDoesNotPass) {
  test::CellFixture f = good();
  DesignHole hole;
  hole.center_mm = {30, 20, 2.5};
  hole.radius_mm = 3.0;
  hole.low_mm = -2.5;
  hole.high_mm = 2.5;
  f.holes.holes = {hole};
  std::vector<Vector3d> skin;
  for (double x = -3; x <= 3; x += 0.4)
    for (double y = -3; y <= 3; y += 0.4)
      if (std::hypot(x, y) < 3) skin.emplace_back(30 + x, 20 + y, 5);
  f.scan.points_mm.resize(3, static_cast<Eigen::Index>(skin.size()));
  for (std::size_t i = 0; i < skin.size(); ++i)
    f.scan.points_mm.col(static_cast<Eigen::Index>(i)) = skin[i];
  f.normals = Vector3d::UnitZ().replicate(1, f.scan.points_mm.cols());
  f.deviations.triangle.setConstant(f.deviations.signed_mm.size(), -1);
  f.deviations.foot_mm = Vector3d(33, 20, 5).replicate(1, f.deviations.signed_mm.size());
  const Verdict verdict = f.judged().verdict;
  ASSERT_EQ(verdict.other_holes.size(), 1U);
  EXPECT_EQ(verdict.other_holes[0].state, HoleState::Closed);
  EXPECT_EQ(verdict.outcome, Outcome::Undecided);
  EXPECT_TRUE(mentions(verdict.reasons,
                       "The hole of 6.0 mm drawn at (30.0, 20.0, 2.5) is closed: a scanned surface "
                       "lies across it"));
}

TEST(Judge, ABoltInAHoleDrawnTooNarrowForItIsNoted) {
  test::CellFixture f = good();
  f.design = test::plate(60, 40, 5, {{{20, 20}, 8.2, 48}, {{40, 20}, 9.0, 48}});
  f.index = SurfaceIndex(f.design);
  for (const double x : {20.0, 40.0}) {
    HoleCheck check;
    check.name = x < 30 ? "A" : "B";
    check.at_mm = {x, 20, 5};
    check.bolt_mm = 8.0;
    check.clearance_mm = 8.4;
    f.plan.holes.push_back(check);
  }
  const Judgement out = f.judged();
  ASSERT_EQ(out.notes.size(), 1U);
  EXPECT_EQ(
      out.notes[0],
      "Hole A is drawn 8.20 mm across for a bolt of 8 mm; the finest clearance hole of ISO 273 "
      "is 8.4 mm");
}

}  // namespace
}  // namespace trammel
