#include "trammel/judge/slot_walls.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

/// 20 × 8 along X, through 3 mm, about the origin.
SlotResult slot_that(Outcome outcome, HoleState state) {
  SlotResult slot;
  slot.nominal_width_mm = 8.0;
  slot.nominal_length_mm = 20.0;
  slot.depth_mm = 3.0;
  slot.outcome = outcome;
  slot.state = state;
  return slot;
}

Flaw flaw_at(const Eigen::Vector3d& center_mm, const Eigen::Vector3d& normal) {
  Flaw flaw;
  flaw.center_mm = center_mm;
  flaw.normal = normal;
  return flaw;
}

const Eigen::Vector3d kOnWall(3.0, 4.0, 1.0), kDown(0.0, -1.0, 0.0), kUp(0.0, 0.0, 1.0);

TEST(SlotWalls, AreToldByASlotThatIsOutOrClosedOnly) {
  const Flaw flaw = flaw_at(kOnWall, kDown);
  EXPECT_TRUE(is_told_by_slot(flaw, {slot_that(Outcome::Fail, HoleState::Measured)}));
  EXPECT_TRUE(is_told_by_slot(flaw, {slot_that(Outcome::Undecided, HoleState::Closed)}));
  EXPECT_FALSE(is_told_by_slot(flaw, {slot_that(Outcome::Pass, HoleState::Measured)}));
  EXPECT_FALSE(is_told_by_slot(flaw, {slot_that(Outcome::Undecided, HoleState::Unseen)}));
  EXPECT_FALSE(is_told_by_slot(flaw, {}));
}

TEST(SlotWalls, DoNotTellOfTheFacesAroundNorOfTheWholePart) {
  const std::vector<SlotResult> slots = {slot_that(Outcome::Fail, HoleState::Measured)};
  EXPECT_FALSE(is_told_by_slot(flaw_at({3.0, 4.0, 1.5}, kUp), slots));     // the sheet's face
  EXPECT_FALSE(is_told_by_slot(flaw_at({3.0, 5.5, 1.0}, -kDown), slots));  // an edge beside it
  EXPECT_FALSE(is_told_by_slot(flaw_at({3.0, 4.0, 9.0}, kDown), slots));   // a wall above it
  EXPECT_FALSE(is_told_by_slot(flaw_at(kOnWall, Eigen::Vector3d::Zero()), slots));
}

TEST(SlotWalls, RegionsInTheGapAndBesideTheWallAreToldByIt) {
  const std::vector<SlotResult> slots = {slot_that(Outcome::Undecided, HoleState::Closed)};
  Region region;
  for (const Eigen::Vector3d& at : {Eigen::Vector3d(0, 0, 0), kOnWall, Eigen::Vector3d(0, 5, 2)}) {
    region.center_mm = at;
    EXPECT_TRUE(is_told_by_slot(region, slots)) << at.transpose();
  }
  for (const Eigen::Vector3d& at : {Eigen::Vector3d(0, 7, 0), Eigen::Vector3d(0, 0, 4)}) {
    region.center_mm = at;
    EXPECT_FALSE(is_told_by_slot(region, slots)) << at.transpose();
  }
}

}  // namespace
}  // namespace trammel
