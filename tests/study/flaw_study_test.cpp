/// The seeded part of the study of judging that `./dev prove flaws` runs at length: one part of
/// each kind.

#include "study/flaw_study.hpp"

#include <gtest/gtest.h>

namespace trammel::test {
namespace {

TEST(FlawStudy, NoBadPartPassesNoGoodOneFailsAndClearFlawsAreNamed) {
  constexpr int kNumber = 0;
  FlawTally tally;
  for (const PlantedKind kind : all_planted_kinds()) {
    const FlawResult result = try_flaw(kind, kNumber);
    EXPECT_FALSE(result.false_pass) << result.log;
    EXPECT_FALSE(result.false_fail) << result.log;
    EXPECT_NE(result.doubt, Doubt::Needless) << result.log;
    EXPECT_NE(result.naming, Naming::Wrong) << result.log;
    EXPECT_NE(result.naming, Naming::Nothing) << result.log;
    tally.add(result);
  }
  // A study of parts that are all good, or all bad, would show nothing.
  EXPECT_GE(tally.passed, 4);
  EXPECT_GE(tally.failed, 6);
  EXPECT_GE(tally.right, 6);
}

TEST(FlawStudy, NamesItsKindsAndConditions) {
  for (const PlantedKind kind : all_planted_kinds()) {
    EXPECT_FALSE(planted_name(kind).empty());
    EXPECT_FALSE(conditions_of(kind, 1).words().empty());
  }
}

}  // namespace
}  // namespace trammel::test
