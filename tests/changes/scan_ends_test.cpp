#include "trammel/changes/scan_ends.hpp"

#include <gtest/gtest.h>

#include "changes/made_scans.hpp"

namespace trammel {
namespace {

TEST(ScanEnds, WhatGoesOnFromThereIsNotSeenAndNoDoubt) {
  const Scan whole = test::MadeScan(21).plate(160).scan();
  for (const double end_mm : {150.0, 130.0, 105.0}) {
    const Scan less = test::MadeScan(22).plate(end_mm).scan();
    EXPECT_EQ(test::changes_between_made(whole, less).outcome, ChangesOutcome::Unchanged) << end_mm;
    EXPECT_EQ(test::changes_between_made(less, whole).outcome, ChangesOutcome::Unchanged) << end_mm;
  }
}

TEST(ScanEnds, AFlangeBeyondWhereTheOtherScanEndedGoesOnTooRoundItsBend) {
  const auto flange = [](std::uint64_t seed) {
    return test::MadeScan(seed).plate(160).face({160, 0, 0}, {0, 120, 0}, {0, 0, -40}).scan();
  };
  const Scan flat = test::MadeScan(23).plate(160).scan();
  EXPECT_EQ(test::changes_between_made(flange(24), flat).outcome, ChangesOutcome::Unchanged);
  EXPECT_EQ(test::changes_between_made(flange(24), flange(25)).outcome, ChangesOutcome::Unchanged);
}

TEST(ScanEnds, ATabThatStandsOnWhatBothShowIsADoubt) {
  const Scan bare = test::MadeScan(26).plate(160).scan();
  const Scan tab = test::MadeScan(27).plate(160).block({60, 40, 0}, {62, 90, 50}).scan();
  EXPECT_EQ(test::changes_between_made(tab, bare).outcome, ChangesOutcome::Undecided);
}

TEST(ScanEnds, AThingThatBothShowAllRoundIsADoubtHoweverSmallItsFoot) {
  const Scan bare = test::MadeScan(30).plate(160).scan();
  const Scan stud = test::MadeScan(31).plate(160).block({75, 55, 0}, {85, 65, 60}).scan();
  EXPECT_EQ(test::changes_between_made(stud, bare).outcome, ChangesOutcome::Undecided);
  EXPECT_EQ(test::changes_between_made(bare, stud).outcome, ChangesOutcome::Undecided);
}

TEST(ScanEnds, WhatTouchesNothingThatBothShowIsADoubt) {
  const Scan bare = test::MadeScan(28).plate(160).scan();
  const Scan above =
      test::MadeScan(29).plate(160).face({40, 40, 60}, {60, 0, 0}, {0, 40, 0}).scan();
  EXPECT_EQ(test::changes_between_made(bare, above).outcome, ChangesOutcome::Undecided);
}

}  // namespace
}  // namespace trammel
