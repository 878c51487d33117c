#include "trammel/model/verdict.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

TEST(Verdict, IsUndecidedUntilSomethingIsKnown) {
  EXPECT_EQ(Verdict{}.outcome, Outcome::Undecided);
  EXPECT_EQ(Region{}.outcome, Outcome::Undecided);
  EXPECT_EQ(HoleResult{}.outcome, Outcome::Undecided);
  EXPECT_FALSE(HoleResult{}.position_mm.has_value());
}

TEST(Outcome, HasTheNamesOfTheResultFile) {
  EXPECT_EQ(outcome_name(Outcome::Pass), "pass");
  EXPECT_EQ(outcome_name(Outcome::Fail), "fail");
  EXPECT_EQ(outcome_name(Outcome::Undecided), "undecided");
  EXPECT_EQ(outcome_name(Outcome::Listed), "listed");
  EXPECT_EQ(kind_name(RegionKind::Proud), "proud");
  EXPECT_EQ(kind_name(RegionKind::Shy), "shy");
}

TEST(Outcome, WorseIsFailBeforeUndecidedBeforePass) {
  using O = Outcome;
  struct Case {
    O a, b, worse;
  };
  for (const Case& c :
       {Case{O::Pass, O::Pass, O::Pass}, Case{O::Pass, O::Undecided, O::Undecided},
        Case{O::Undecided, O::Fail, O::Fail}, Case{O::Pass, O::Fail, O::Fail},
        Case{O::Listed, O::Pass, O::Pass}, Case{O::Listed, O::Listed, O::Pass},
        Case{O::Listed, O::Undecided, O::Undecided}, Case{O::Listed, O::Fail, O::Fail}}) {
    EXPECT_EQ(worse(c.a, c.b), c.worse) << outcome_name(c.a) << ", " << outcome_name(c.b);
    EXPECT_EQ(worse(c.b, c.a), c.worse) << outcome_name(c.b) << ", " << outcome_name(c.a);
  }
}

TEST(HoleState, HasItsName) {
  EXPECT_EQ(state_name(HoleState::Measured), "measured");
  EXPECT_EQ(state_name(HoleState::Closed), "closed");
  EXPECT_EQ(state_name(HoleState::Missing), "missing");
  EXPECT_EQ(state_name(HoleState::Unseen), "unseen");
}

TEST(Outcome, EndsTheProgramWithItsCode) {
  EXPECT_EQ(exit_code_of(Outcome::Pass), ExitCode::Pass);
  EXPECT_EQ(exit_code_of(Outcome::Fail), ExitCode::Fail);
  EXPECT_EQ(exit_code_of(Outcome::Undecided), ExitCode::Undecided);
  EXPECT_EQ(exit_code_of(Outcome::Listed), ExitCode::Undecided);
}

}  // namespace
}  // namespace trammel
