#include "trammel/changes/enclosed_surfaces.hpp"

#include <gtest/gtest.h>

#include "changes/made_scans.hpp"

namespace trammel {
namespace {

const Eigen::Vector3d kFoot(50, 30, 0), kTop(110, 90, 50);

// Both were called unchanged.
TEST(EnclosedSurfaces, ProveABlockTakenOffOrPutOn) {
  const Scan with = test::MadeScan(21).plate().block(kFoot, kTop).scan();
  const Scan without = test::MadeScan(22).plate().scan();
  const Changes off = test::changes_between_made(with, without);
  EXPECT_EQ(off.outcome, ChangesOutcome::Changed);
  EXPECT_TRUE(test::reasons_say(off, "what the old scan shows was taken away near"));
  EXPECT_TRUE(off.changes.empty()) << "no reading tells it";
  const Changes on = test::changes_between_made(without, with);
  EXPECT_EQ(on.outcome, ChangesOutcome::Changed);
  EXPECT_TRUE(test::reasons_say(on, "what the new scan shows was added near"));
  EXPECT_EQ(test::changes_between_made(with, test::MadeScan(23).plate().block(kFoot, kTop).scan())
                .outcome,
            ChangesOutcome::Unchanged);
}

// One scan looked from above and missed the floor under the table, the other from below its top.
TEST(EnclosedSurfaces, DoNotProveATableGoneThatOneScanMissed) {
  const Scan above = test::MadeScan(24)
                         .plate()
                         .without_floor({50, 30, 0}, {110, 90, 0})
                         .face({50, 30, 40}, {60, 0, 0}, {0, 60, 0})
                         .scan();
  const Changes changes = test::changes_between_made(above, test::MadeScan(25).plate().scan());
  EXPECT_EQ(changes.outcome, ChangesOutcome::Undecided);
  EXPECT_FALSE(changes.open_places.empty());
}

// The block still stands, and what lies in it was shown through its open back.
TEST(EnclosedSurfaces, AreNotWhatBothScansCover) {
  const Scan with = test::MadeScan(26).plate().block(kFoot, kTop).scan();
  const Scan inside =
      test::MadeScan(27).plate().block(kFoot, kTop).face(kFoot, {60, 0, 0}, {0, 60, 0}).scan();
  EXPECT_NE(test::changes_between_made(with, inside).outcome, ChangesOutcome::Changed);
  EXPECT_NE(test::changes_between_made(inside, with).outcome, ChangesOutcome::Changed);
}

}  // namespace
}  // namespace trammel
