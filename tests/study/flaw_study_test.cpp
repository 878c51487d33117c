/// The seeded part of the study of judging that `./dev prove flaws` runs at length: one part of
/// some kinds, in a long run of most.

#include "study/flaw_study.hpp"

#include <gtest/gtest.h>

#include <utility>
#include <vector>

#include "support/long_run.hpp"

namespace trammel::test {
namespace {

/// A housing with a hole of 3.8 mm too many, which had passed, is number 12 of its kind.
using KindAndNumber = std::pair<PlantedKind, int>;
const std::vector<KindAndNumber> kSeeded = {
    {PlantedKind::ShrinkAlong, 0}, {PlantedKind::Bow, 0},         {PlantedKind::MissingHole, 0},
    {PlantedKind::ExtraHole, 12},  {PlantedKind::MissingFoot, 0}, {PlantedKind::Lean, 0},
    {PlantedKind::Offset, 0},      {PlantedKind::None, 0},        {PlantedKind::Blob, 0},
    {PlantedKind::Corner, 0},      {PlantedKind::HoleSize, 0}};

TEST(FlawStudy, NoBadPartPassesNoGoodOneFailsAndClearFlawsAreNamed) {
  FlawTally tally;
  for (const auto& [kind, number] : some_of(kSeeded, 5)) {
    const FlawResult result = try_flaw(kind, number);
    EXPECT_FALSE(result.false_pass) << result.log;
    EXPECT_FALSE(result.false_fail) << result.log;
    EXPECT_NE(result.doubt, Doubt::Needless) << result.log;
    EXPECT_NE(result.naming, Naming::Wrong) << result.log;
    EXPECT_NE(result.naming, Naming::Nothing) << result.log;
    tally.add(result);
  }
  // A study of parts that are all good, or all bad, would show nothing.
  EXPECT_GE(tally.passed, rounds(1, 4));
  EXPECT_GE(tally.failed, rounds(3, 6));
  EXPECT_GE(tally.right, rounds(3, 6));
}

TEST(FlawStudy, NamesItsKindsAndConditions) {
  for (const PlantedKind kind : all_planted_kinds()) {
    EXPECT_FALSE(planted_name(kind).empty());
    EXPECT_FALSE(conditions_of(kind, 1).words().empty());
  }
}

}  // namespace
}  // namespace trammel::test
