#include "trammel/judge/advice.hpp"
#include "trammel/judge/hole_meant.hpp"

#include <gtest/gtest.h>

#include <algorithm>

namespace trammel {
namespace {

Alignment settled() {
  Alignment out;
  out.found = out.converged = true;
  return out;
}

Verdict failed() {
  Verdict out;
  out.outcome = Outcome::Fail;
  out.coverage.seen_fraction = 1.0;
  return out;
}

Region failing_region() {
  Region region;
  region.id = 1;
  region.peak_mm = 1.2;
  region.limit_mm = 0.5;
  region.outcome = Outcome::Fail;
  return region;
}

Flaw shrink() {
  Flaw flaw;
  flaw.kind = FlawKind::Shrink;
  flaw.action = "Print it again at 100.81 %";
  return flaw;
}

TEST(Advice, WhatTheWholePartNeedsComesFirst) {
  Verdict verdict = failed();
  verdict.regions = {failing_region()};
  verdict.flaws = {shrink()};
  const auto out = advice(verdict, settled(), Plan{});
  ASSERT_EQ(out.size(), 3U);
  EXPECT_EQ(out.front(), "Print it again at 100.81 %");
}

TEST(Advice, ARegionThatAFlawExplainsNeedsNoLineOfItsOwn) {
  Verdict verdict = failed();
  verdict.regions = {failing_region()};
  verdict.regions[0].explained = true;
  verdict.flaws = {shrink()};
  // Nor a caution: nothing is bent.
  EXPECT_EQ(advice(verdict, settled(), Plan{}), std::vector<std::string>{shrink().action});
}

TEST(Advice, ForAPartThatFitsInMoreThanOneWayNamesPairs) {
  Verdict verdict;
  verdict.outcome = Outcome::Undecided;
  verdict.coverage.seen_fraction = 1.0;
  Alignment turned = settled();
  turned.ambiguous = true;
  Plan plan;
  ASSERT_EQ(advice(verdict, turned, plan).size(), 2U);
  EXPECT_NE(advice(verdict, turned, plan)[1].find("three [[pair]]"), std::string::npos);
  plan.method = AlignMethod::Pairs;  // it has them already
  EXPECT_EQ(advice(verdict, turned, plan).size(), 1U);
}

// Eight lines told to scan into eight holes that were not read for want of a pose.
TEST(Advice, AHoleThatWaitsForAPoseNeedsNoScanOfItsOwn) {
  Verdict verdict;
  verdict.coverage.seen_fraction = 1.0;
  verdict.holes.resize(1);
  verdict.holes[0].name = "A";
  verdict.holes[0].nominal_diameter_mm = 6.0;
  verdict.holes[0].reasons = {
      "the scan fits the design in more than one way, so it is not known which hole this is"};
  Alignment twice = settled();
  twice.ambiguous = true;
  for (const std::string& line : advice(verdict, twice, {}))
    EXPECT_EQ(line.find("hole A"), std::string::npos) << line;
  verdict.holes[0].reasons = {"only 100° of its wall were seen"};
  EXPECT_EQ(advice(verdict, twice, {}).back(), "Scan into hole A, obliquely from both sides");
}

TEST(Advice, OffsetHoleNamesTheWay) {
  Verdict verdict = failed();
  HoleResult hole;
  hole.name = "B";
  hole.nominal_diameter_mm = 8.4;
  hole.offset_mm = Eigen::Vector3d(0, 1.2, 0);
  hole.outcome = Outcome::Fail;
  verdict.holes = {hole};
  const auto out = advice(verdict, settled(), Plan{});
  ASSERT_EQ(out.size(), 1U);
  EXPECT_NE(out.front().find("1.20 mm towards +Y"), std::string::npos);
  EXPECT_NE(out.front().find("10.8 mm"), std::string::npos);  // 8.4 + 2 · 1.2
}

TEST(Advice, OneHoleIsNotToBeOpenedToTwoSizes) {
  Verdict verdict = failed();
  HoleResult off;
  off.name = "B";
  off.nominal_diameter_mm = 8.4;
  off.offset_mm = Eigen::Vector3d(0, 1.2, 0);
  off.outcome = Outcome::Fail;
  HoleResult tight = off;
  tight.name = "C";
  tight.offset_mm = Eigen::Vector3d(0, 0.01, 0);
  verdict.holes = {off, tight};
  BoltUp up;
  up.outcome = Outcome::Fail;
  up.openings = {{"B", 10.2, 1.1, -Eigen::Vector3d::UnitY()},
                 {"C", 8.9, 0.5, Eigen::Vector3d::UnitX()}};
  verdict.bolt_ups = {up};
  const auto out = advice(verdict, settled(), Plan{});
  ASSERT_EQ(out.size(), 2U);
  EXPECT_EQ(out[0],
            "Hole B sits 1.20 mm towards +Y: move it, open it to 10.2 mm, or make it 1.1 mm longer "
            "towards −Y, so that all bolts go through");
  EXPECT_EQ(
      out[1],
      "So that all bolts go through, open hole C to 8.9 mm, or make it 0.5 mm longer towards +X");
}

SlotResult failed_slot() {
  SlotResult slot;
  slot.name = "left";
  slot.nominal_width_mm = 8.0;
  slot.nominal_length_mm = 20.0;
  slot.depth_mm = 3.0;
  slot.state = HoleState::Measured;
  slot.position_mm = 0.1;
  slot.offset_mm = Eigen::Vector3d(0, 0.05, 0);
  slot.turn_rad = 0.0;
  slot.width_mm = 8.0;
  slot.length_mm = 20.0;
  slot.outcome = Outcome::Fail;
  return slot;
}

TEST(Advice, ASlotSaysWhatMustChangeAndByHowMuch) {
  Verdict verdict = failed();
  Plan plan;
  plan.slots = {{"left", {0, 0, 0}, 0.5, Limits{7.8, 8.2}, Limits{19.8, 20.2}}};
  const auto first = [&](const SlotResult& slot) {
    verdict.slots = {slot};
    const auto out = advice(verdict, settled(), plan);
    return out.empty() ? std::string() : out.front();
  };
  SlotResult slot = failed_slot();
  slot.width_mm = 7.5;
  EXPECT_EQ(first(slot), "Slot left must become at least 0.30 mm wider: file or mill it open");
  slot.length_mm = 19.0;  // the worse of the two
  EXPECT_EQ(first(slot), "Slot left must become at least 0.80 mm longer: file or mill it open");
  slot = failed_slot();
  slot.length_mm = 21.0;
  EXPECT_NE(first(slot).find("is at least 0.80 mm too long"), std::string::npos);
  slot = failed_slot();
  slot.position_mm = 1.2;
  slot.offset_mm = Eigen::Vector3d(0, 0.6, 0);
  EXPECT_NE(first(slot).find("0.60 mm towards +Y"), std::string::npos) << first(slot);
  EXPECT_NE(first(slot).find("9.2 × 21.2 mm"), std::string::npos) << first(slot);
  EXPECT_EQ(first(slot).find("turned"), std::string::npos) << first(slot);
  slot.turn_rad = 0.05;
  slot.position_mm = 1.6;  // the turn adds to the middle's 0.6 to either side
  EXPECT_NE(first(slot).find("sits 0.60 mm towards +Y and is turned by 2.9°"), std::string::npos);
  slot.offset_mm = Eigen::Vector3d(0, 0.02, 0);
  EXPECT_EQ(first(slot).rfind("Slot left is turned by 2.9°", 0), 0U) << first(slot);
}

TEST(Advice, WallOfAFeatureThatTellsOfItNeedsNoLineOfItsOwn) {
  Verdict verdict = failed();
  Plan plan;
  plan.slots = {{"left", {0, 0, 0}, {}, Limits{7.8, 8.2}, {}}};
  SlotResult slot = failed_slot();
  slot.width_mm = 7.5;
  verdict.slots = {slot};
  verdict.regions = {failing_region()};
  verdict.regions[0].of_feature = true;
  EXPECT_EQ(advice(verdict, settled(), plan).size(), 1U);
  verdict.regions[0].of_feature = false;
  EXPECT_GT(advice(verdict, settled(), plan).size(), 1U);
}

TEST(Advice, WhatWasNotMadeIsToBeMade) {
  Verdict verdict = failed();
  const auto first = [&] { return advice(verdict, settled(), Plan{}).front(); };
  HoleResult hole;
  hole.name = "A";
  hole.nominal_diameter_mm = 8.0;
  hole.state = HoleState::Closed;
  hole.outcome = Outcome::Fail;
  verdict.holes = {hole};
  EXPECT_EQ(first(), "See that hole A is drilled and that nothing lies across it");
  verdict.holes[0].kind = RoundKind::Pin;
  verdict.holes[0].state = HoleState::Missing;
  EXPECT_EQ(first(), "See that pin A is set");
  verdict.holes.clear();
  OtherHole other;
  other.center_mm = {1, 2, 3};
  other.state = HoleState::Closed;
  verdict.other_holes = {other};
  EXPECT_EQ(first().rfind("See that the hole drawn at (1", 0), 0U) << first();
}

TEST(Advice, AnOpenSlotSaysWhereToLook) {
  Verdict verdict;
  verdict.outcome = Outcome::Undecided;
  verdict.coverage.seen_fraction = 1.0;
  SlotResult slot = failed_slot();
  slot.outcome = Outcome::Undecided;
  const auto all = [&](HoleState state, double length_mm) {
    slot.state = state;
    slot.nominal_length_mm = length_mm;
    verdict.slots = {slot};
    std::string text;
    for (const std::string& line : advice(verdict, settled(), Plan{}))
      text += line + "\n";
    return text;
  };
  EXPECT_NE(all(HoleState::Closed, 20.0).find("See that slot left is cut"), std::string::npos);
  EXPECT_NE(all(HoleState::Unseen, 20.0).find("Scan into slot left"), std::string::npos);
  EXPECT_NE(all(HoleState::Unseen, 0.0).find("Mend slot left in the plan"), std::string::npos);
}

TEST(Advice, AnotherPatternOfAMateIsLookedAtNotDrilled) {
  Verdict verdict = failed();
  BoltUp up;
  up.outcome = Outcome::Fail;
  up.mate = "frame.ply";
  verdict.bolt_ups = {up};
  EXPECT_TRUE(advice(verdict, settled(), Plan{}).empty()) << "a hole of it is missing, say";
  verdict.bolt_ups[0].is_another_pattern = true;
  const auto out = advice(verdict, settled(), Plan{});
  ASSERT_EQ(out.size(), 1U);
  EXPECT_NE(out.front().find("frame.ply"), std::string::npos) << out.front();
}

TEST(Advice, ADistanceSaysByHowMuchItMustChange) {
  Verdict verdict = failed();
  DistanceResult distance;
  distance.name = "pitch";
  distance.drawn_mm = distance.nominal_mm = 36.0;
  distance.least_mm = 35.8;
  distance.most_mm = 36.2;
  distance.actual_mm = 36.55;
  distance.outcome = Outcome::Fail;
  verdict.distances = {distance};
  auto out = advice(verdict, settled(), Plan{});
  ASSERT_EQ(out.size(), 2U);  // and the caution
  EXPECT_EQ(
      out.front(),
      "Distance pitch must become at least 0.35 mm shorter: move whichever of its ends can be "
      "moved");
  verdict.distances[0].actual_mm = 35.3;
  EXPECT_NE(advice(verdict, settled(), Plan{}).front().find("0.50 mm longer"), std::string::npos);
  verdict.outcome = verdict.distances[0].outcome = Outcome::Undecided;
  EXPECT_EQ(advice(verdict, settled(), Plan{}).front(), "Measure distance pitch by hand as well");
  verdict.distances[0].actual_mm.reset();
  EXPECT_EQ(advice(verdict, settled(), Plan{}).front(),
            "Scan both ends of distance pitch, all of each face");
}

TEST(Advice, PassNeedsNone) {
  Verdict verdict;
  verdict.outcome = Outcome::Pass;
  EXPECT_TRUE(advice(verdict, settled(), Plan{}).empty());
}

TEST(Advice, BendingAWeldedPartComesWithACaution) {
  Verdict verdict = failed();
  verdict.regions = {failing_region()};
  const auto out = advice(verdict, settled(), Plan{});
  ASSERT_EQ(out.size(), 2U);
  EXPECT_NE(out.back().find("strength"), std::string::npos);
}

FormResult form(FormKind kind, std::optional<double> actual, Outcome outcome) {
  FormResult out;
  out.name = "f";
  out.kind = kind;
  out.most = 0.2;
  if (kind == FormKind::Thickness) out.least = 0.1;
  out.actual = actual;
  out.outcome = outcome;
  out.uncertainty = 0.05;
  if (actual) out.conformity = 0.5;
  if (outcome != Outcome::Pass) out.reasons = {"why"};
  return out;
}

TEST(Advice, OfAFaceOrWallSaysByHowMuchAtLeast) {
  Verdict verdict = failed();
  verdict.forms = {form(FormKind::Flatness, 0.5, Outcome::Fail),
                   form(FormKind::Thickness, 0.04, Outcome::Fail)};
  const auto out = advice(verdict, settled(), Plan{});
  ASSERT_EQ(out.size(), 3U);  // and the caution that stands beside all bending
  EXPECT_EQ(out[0].find("Flatness f is at least 0.30 mm too much"), 0U) << out[0];
  EXPECT_EQ(out[1].find("Thickness f lacks at least 0.06 mm"), 0U) << out[1];
}

TEST(Advice, OfAnOpenFaceOrWallSaysWhatToScan) {
  Verdict verdict;
  verdict.outcome = Outcome::Undecided;
  verdict.coverage.seen_fraction = 1.0;
  verdict.forms = {form(FormKind::Flatness, 0.19, Outcome::Undecided),
                   form(FormKind::Thickness, {}, Outcome::Undecided),
                   form(FormKind::Flatness, {}, Outcome::Undecided)};
  EXPECT_EQ(advice(verdict, settled(), Plan{}),
            (std::vector<std::string>{"Measure flatness f by hand as well",
                                      "Scan both sides of the wall of thickness f",
                                      "Scan all of the face of flatness f"}));
}

TEST(Advice, OfWhatTheDesignDoesNotHaveSaysToMendThePlan) {
  Verdict verdict;
  verdict.outcome = Outcome::Undecided;
  verdict.coverage.seen_fraction = 1.0;
  verdict.forms = {form(FormKind::Flatness, {}, Outcome::Undecided)};
  verdict.forms[0].most.reset();
  DistanceResult distance;
  distance.name = "d";
  distance.reasons = {"no face there"};
  verdict.distances = {distance};
  EXPECT_EQ(advice(verdict, settled(), Plan{}),
            (std::vector<std::string>{"Mend distance d in the plan: no face there",
                                      "Mend flatness f in the plan: why"}));
}

TEST(Advice, OfAHoleOrPinThatTheDesignDoesNotHaveSaysToMendThePlan) {
  Verdict verdict;
  verdict.holes.resize(2);
  verdict.holes[0].name = "A";
  verdict.holes[1].name = "P";
  verdict.holes[1].kind = RoundKind::Pin;
  verdict.holes[1].nominal_diameter_mm = 8.0;
  verdict.coverage.seen_fraction = 1.0;
  const auto lines = advice(verdict, settled(), Plan{});
  const auto says = [&](const std::string& words) {
    return std::any_of(lines.begin(), lines.end(), [&](const std::string& line) {
      return line.find(words) != std::string::npos;
    });
  };
  EXPECT_TRUE(says("Mend hole A in the plan"));
  EXPECT_FALSE(says("Scan into hole A"));
  EXPECT_TRUE(says("Scan pin P from all around it"));
}

TEST(Advice, OfAHoleThatMayBeAnotherSaysToMendThePlan) {
  Verdict verdict;
  verdict.outcome = Outcome::Undecided;
  HoleResult hole;
  hole.name = "b";
  hole.nominal_diameter_mm = 4.5;
  hole.reasons = {std::string(kPointGiven) + "7.8 mm beside the nearest hole of the design"};
  verdict.holes = {hole};
  const auto out = advice(verdict, settled(), Plan{});
  EXPECT_TRUE(std::any_of(out.begin(), out.end(), [](const std::string& line) {
    return line.find("Mend hole b in the plan") != std::string::npos;
  }));
}

TEST(Advice, ForAPartThatMayBeBowedNamesDatumsAndNoScan) {
  Verdict verdict;
  verdict.outcome = Outcome::Undecided;
  verdict.coverage.seen_fraction = 1.0;
  Alignment torn = settled();
  torn.torn = true;
  torn.doubts = {"its good part cannot be told from its bent one"};
  const auto out = advice(verdict, torn, Plan{});
  ASSERT_EQ(out.size(), 1U);
  EXPECT_NE(out.front().find("three [[datum]] in the plan"), std::string::npos) << out.front();
}

TEST(Advice, ForAPartThatIsHeldByTooLittleSaysWhatToScan) {
  Verdict verdict;
  verdict.outcome = Outcome::Undecided;
  verdict.coverage.seen_fraction = 1.0;
  Alignment free = settled();
  free.free_directions = {"sliding along x"};
  const auto out = advice(verdict, free, Plan{});
  ASSERT_FALSE(out.empty());
  EXPECT_EQ(out.front().rfind("Scan more of what holds the part", 0), 0U) << out.front();
}

}  // namespace
}  // namespace trammel
