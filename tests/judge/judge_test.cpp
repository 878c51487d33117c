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

}  // namespace
}  // namespace trammel
