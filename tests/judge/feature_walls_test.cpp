#include "trammel/judge/feature_walls.hpp"

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

Verdict with(const SlotResult& slot) {
  Verdict out;
  out.slots = {slot};
  return out;
}

/// 8 mm through 3 mm about (30, 0, 0), given on its upper face.
HoleResult hole_that(Outcome outcome, HoleState state, RoundKind kind = RoundKind::Hole) {
  HoleResult hole;
  hole.nominal_mm = {30.0, 0.0, 1.5};
  hole.nominal_diameter_mm = 8.0;
  hole.depth_mm = 3.0;
  hole.outcome = outcome;
  hole.state = state;
  hole.kind = kind;
  return hole;
}

Region region_at(const Eigen::Vector3d& center_mm, double size_mm) {
  Region region;
  region.center_mm = center_mm;
  region.size_mm.setConstant(size_mm);
  return region;
}

const Eigen::Vector3d kOnWall(3.0, 4.0, 1.0), kDown(0.0, -1.0, 0.0), kUp(0.0, 0.0, 1.0);

TEST(FeatureWalls, AreToldByASlotThatIsOutOrClosedOnly) {
  const Flaw flaw = flaw_at(kOnWall, kDown);
  EXPECT_TRUE(is_told_by_feature(flaw, with(slot_that(Outcome::Fail, HoleState::Measured))));
  EXPECT_TRUE(is_told_by_feature(flaw, with(slot_that(Outcome::Undecided, HoleState::Closed))));
  EXPECT_FALSE(is_told_by_feature(flaw, with(slot_that(Outcome::Pass, HoleState::Measured))));
  EXPECT_FALSE(is_told_by_feature(flaw, with(slot_that(Outcome::Undecided, HoleState::Unseen))));
  EXPECT_FALSE(is_told_by_feature(flaw, Verdict{}));
}

TEST(FeatureWalls, DoNotTellOfTheFacesAroundNorOfTheWholePart) {
  const Verdict slots = with(slot_that(Outcome::Fail, HoleState::Measured));
  EXPECT_FALSE(is_told_by_feature(flaw_at({3.0, 4.0, 1.5}, kUp), slots));     // the sheet's face
  EXPECT_FALSE(is_told_by_feature(flaw_at({3.0, 5.5, 1.0}, -kDown), slots));  // an edge beside it
  EXPECT_FALSE(is_told_by_feature(flaw_at({3.0, 4.0, 9.0}, kDown), slots));   // a wall above it
  EXPECT_FALSE(is_told_by_feature(flaw_at(kOnWall, Eigen::Vector3d::Zero()), slots));
}

TEST(FeatureWalls, RegionsInTheGapAndBesideTheWallAreToldByIt) {
  const Verdict slots = with(slot_that(Outcome::Undecided, HoleState::Closed));
  Region region;
  for (const Eigen::Vector3d& at : {Eigen::Vector3d(0, 0, 0), kOnWall, Eigen::Vector3d(0, 5, 2)}) {
    region.center_mm = at;
    EXPECT_TRUE(is_told_by_feature(region, slots)) << at.transpose();
  }
  for (const Eigen::Vector3d& at : {Eigen::Vector3d(0, 7, 0), Eigen::Vector3d(0, 0, 4)}) {
    region.center_mm = at;
    EXPECT_FALSE(is_told_by_feature(region, slots)) << at.transpose();
  }
}

TEST(FeatureWalls, OfAHoleTellOfWhatIsNoLargerThanIt) {
  Verdict verdict;
  verdict.holes = {hole_that(Outcome::Fail, HoleState::Closed)};
  EXPECT_TRUE(is_told_by_feature(region_at({34.0, 0, 0}, 4.0), verdict));
  EXPECT_TRUE(is_told_by_feature(region_at({30.0, 0, 1.5}, 6.0), verdict));
  EXPECT_FALSE(is_told_by_feature(region_at({30.0, 0, 1.5}, 40.0), verdict)) << "a face bowed";
  EXPECT_FALSE(is_told_by_feature(region_at({37.0, 0, 0}, 2.0), verdict));
  verdict.holes = {hole_that(Outcome::Pass, HoleState::Measured)};
  EXPECT_FALSE(is_told_by_feature(region_at({34.0, 0, 0}, 4.0), verdict));
  verdict.holes = {hole_that(Outcome::Fail, HoleState::Measured)};
  EXPECT_TRUE(is_told_by_feature(region_at({34.0, 0, 0}, 4.0), verdict));
}

TEST(FeatureWalls, OfAHoleThatThePlanDoesNotNameTellWhereItIsClosed) {
  Verdict verdict;
  OtherHole hole;
  hole.center_mm = {30.0, 0.0, 0.0};
  hole.drawn_diameter_mm = 8.0;
  hole.depth_mm = 3.0;
  hole.state = HoleState::Closed;
  verdict.other_holes = {hole};
  EXPECT_TRUE(is_told_by_feature(region_at({34.0, 0, 0}, 4.0), verdict));
  verdict.other_holes[0].state = HoleState::Unseen;
  EXPECT_FALSE(is_told_by_feature(region_at({34.0, 0, 0}, 4.0), verdict));
}

TEST(FeatureWalls, OfAMissingPinTellOfItsEndToo) {
  Verdict verdict;
  Flaw end = flaw_at({30.0, 0, 1.5}, kUp);
  verdict.holes = {hole_that(Outcome::Fail, HoleState::Missing, RoundKind::Pin)};
  end.figure_mm = -2.8;
  EXPECT_TRUE(is_told_by_feature(end, verdict));
  end.kind = FlawKind::Bow;
  EXPECT_FALSE(is_told_by_feature(end, verdict));
  end.kind = FlawKind::Offset;
  end.figure_mm = -0.8;
  EXPECT_FALSE(is_told_by_feature(end, verdict)) << "the face that it stands on, about its middle";
  end.figure_mm = -2.8;
  verdict.holes[0].state = HoleState::Measured;
  EXPECT_FALSE(is_told_by_feature(end, verdict));
}

// "Take off or bend back 2.91 mm towards +Y" for a hole that was not drilled through.
TEST(FeatureWalls, OfAHoleNotSureToGoThroughAreToldByIt) {
  Verdict verdict;
  verdict.holes = {hole_that(Outcome::Undecided, HoleState::Measured)};
  EXPECT_FALSE(is_told_by_feature(region_at({34.0, 0, 0}, 4.0), verdict));
  verdict.holes[0].reasons = {"a scanned surface lies across it: it may not go all the way"};
  EXPECT_TRUE(is_told_by_feature(region_at({34.0, 0, 0}, 4.0), verdict));
}

}  // namespace
}  // namespace trammel
