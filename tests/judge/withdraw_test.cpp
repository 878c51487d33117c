#include "trammel/judge/withdraw.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

TEST(WithdrawFaults, LeavesNothingPassedOrFailed) {
  Verdict verdict;
  for (const Outcome outcome :
       {Outcome::Pass, Outcome::Fail, Outcome::Undecided, Outcome::Listed}) {
    verdict.regions.emplace_back().outcome = outcome;
    verdict.holes.emplace_back().outcome = outcome;
    verdict.slots.emplace_back().outcome = outcome;
    verdict.regions.back().conformity = verdict.holes.back().conformity =
        verdict.slots.back().conformity = 0.5;
    verdict.bolt_ups.emplace_back().outcome = outcome;
    verdict.distances.emplace_back().outcome = outcome;
    verdict.forms.emplace_back().outcome = outcome;
  }
  withdraw_faults(verdict);
  for (std::size_t i = 0; i < 4; ++i) {
    const Outcome kept = i == 3 ? Outcome::Listed : Outcome::Undecided;
    EXPECT_EQ(verdict.holes[i].outcome, kept);
    EXPECT_EQ(verdict.slots[i].outcome, kept);
    EXPECT_NE(verdict.regions[i].outcome, Outcome::Fail);
    EXPECT_EQ(verdict.bolt_ups[i].outcome, Outcome::Undecided);
    EXPECT_EQ(verdict.distances[i].outcome, Outcome::Undecided);
    EXPECT_EQ(verdict.forms[i].outcome, Outcome::Undecided);
    EXPECT_FALSE(verdict.regions[i].conformity || verdict.holes[i].conformity ||
                 verdict.slots[i].conformity);
  }
}

TEST(WithdrawFaults, DoesNotSayThatBoltsGoThroughWhereThePlaceIsInDoubt) {
  Verdict verdict;
  verdict.bolt_ups.emplace_back().words = "The bolts all go through";
  verdict.bolt_ups.emplace_back();
  withdraw_faults(verdict);
  EXPECT_EQ(verdict.bolt_ups[0].words,
            "How the part lies is in doubt; as it was laid: the bolts all go through");
  EXPECT_EQ(verdict.bolt_ups[1].words, "");
}

}  // namespace
}  // namespace trammel
