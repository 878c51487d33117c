/// Slots: the whole way, from poses of every kind.

#include <gtest/gtest.h>

#include <cmath>

#include "support/long_run.hpp"
#include "support/slots.hpp"
#include "support/virtual_scanner.hpp"
#include "support/whole_way.hpp"
#include "trammel/inspect.hpp"
#include "trammel/report/report.hpp"

namespace trammel {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;
using test::PlateSlot;
using test::reasons_of;

const PlateSlot kLeft{{25, 40}, 8.0, 20.0, 0.0, 48};
const PlateSlot kRight{{60, 22}, 6.5, 16.0, 70.0, 48};

/// 90 × 60 mm without symmetry: two slots, and a round hole of 8.4 mm at (75, 48).
Mesh plate_of(const std::vector<PlateSlot>& slots, double thickness_mm = 2.0) {
  return test::slotted_plate(thickness_mm, slots, {{{75, 48}, 8.4, 48}, {{12, 12}, 5.0, 48}},
                             {90, 60});
}

Plan plan_of() {
  Plan plan;
  plan.scan_units = Unit::Mm;
  SlotCheck left{"left", {25, 40, 2}, 0.8, Limits{7.6, 8.4}, Limits{19.5, 20.5}};
  SlotCheck right{"right", {60, 22, 2}, 0.8, Limits{6.1, 6.9}, Limits{15.5, 16.5}};
  plan.slots = {left, right};
  return plan;
}

Inspection checked(const Mesh& real, std::uint64_t seed, test::ScannerSettings settings = {},
                   const Plan& plan = plan_of(), double thickness_mm = 2.0) {
  settings.points = test::rounds(30000, 60000);
  return test::check_made_in_place(plate_of({kLeft, kRight}, thickness_mm), real, plan, seed,
                                   settings);
}

TEST(Slots, AGoodPlatePassesFromSeveralPosesAndNamesNoOtherHole) {
  for (const double thickness : {1.5, 3.0}) {
    for (const std::uint64_t seed : test::some_of<std::uint64_t>({1, 2}, 1)) {
      test::ScannerSettings settings;
      settings.points = test::rounds(30000, 60000);
      const Mesh plate = plate_of({kLeft, kRight}, thickness);
      const Inspection out = test::check_made(plate, plate, plan_of(), seed, settings);
      EXPECT_EQ(out.verdict.outcome, Outcome::Pass) << thickness << "\n" << reasons_of(out);
      ASSERT_EQ(out.verdict.slots.size(), 2U);
      for (const SlotResult& slot : out.verdict.slots) {
        EXPECT_EQ(slot.outcome, Outcome::Pass) << slot.name;
        EXPECT_NEAR(slot.width_mm.value_or(0), slot.nominal_width_mm, 0.06) << slot.name;
        EXPECT_NEAR(slot.length_mm.value_or(0), slot.nominal_length_mm, 0.1) << slot.name;
        EXPECT_LT(slot.position_mm.value_or(9), 0.2) << slot.name;
      }
      EXPECT_EQ(out.verdict.other_holes.size(), 2U);  // the round ones: no end of a slot is a hole
      EXPECT_TRUE(out.verdict.other_slots.empty());
    }
  }
}

TEST(Slots, EachPlantedFaultFailsBySlotAndFigure) {
  struct Fault {
    const char* words;
    PlateSlot left;
  };
  const std::vector<Fault> faults = {{"Slot left: width", {{25, 40}, 7.0, 20.0, 0.0, 48}},
                                     {"Slot left: position", {{25.7, 40.3}, 8.0, 20.0, 0.0, 48}},
                                     {"Slot left: length", {{25, 40}, 8.0, 21.0, 0.0, 48}},
                                     {"Slot left: position", {{25, 40}, 8.0, 20.0, 8.0, 48}}};
  std::uint64_t seed = 10;
  for (const Fault& fault : test::some_of(faults, 2)) {
    const Inspection out = checked(plate_of({fault.left, kRight}), seed++);
    EXPECT_EQ(out.verdict.outcome, Outcome::Fail) << fault.words << "\n" << reasons_of(out);
    EXPECT_NE(reasons_of(out).find(fault.words), std::string::npos) << fault.words << " in\n"
                                                                    << reasons_of(out);
    EXPECT_EQ(out.verdict.slots[1].outcome, Outcome::Pass) << reasons_of(out);
  }
}

TEST(Slots, WithoutAPlanTheyAreListedAndOneThatIsNotCutIsClosed) {
  Plan plan = plan_of();
  plan.slots.clear();
  const Inspection good = checked(plate_of({kLeft, kRight}), 20, {}, plan);
  EXPECT_EQ(good.verdict.outcome, Outcome::Pass) << reasons_of(good);
  ASSERT_EQ(good.verdict.other_slots.size(), 2U);
  for (const SlotResult& slot : good.verdict.other_slots)
    EXPECT_EQ(slot.state, HoleState::Measured) << (slot.reasons.empty() ? "" : slot.reasons[0]);
  const Inspection uncut = checked(plate_of({kRight}), 21, {}, plan);
  EXPECT_NE(uncut.verdict.outcome, Outcome::Pass);
  int closed = 0;
  for (const SlotResult& slot : uncut.verdict.other_slots)
    closed += slot.state == HoleState::Closed ? 1 : 0;
  EXPECT_EQ(closed, 1) << reasons_of(uncut);
  const Inspection asked = checked(plate_of({kRight}), 21);
  EXPECT_NE(asked.verdict.outcome, Outcome::Pass);
  EXPECT_EQ(asked.verdict.slots[0].state, HoleState::Closed) << reasons_of(asked);
}

TEST(Slots, FromOneSideAloneNothingPassesUnseen) {
  test::ScannerSettings above;
  above.views = {Vector3d(0.02, 0.01, 1.0).normalized()};
  const Inspection out = checked(plate_of({kLeft, kRight}), 30, above);
  EXPECT_EQ(out.verdict.outcome, Outcome::Undecided) << reasons_of(out);
  for (const SlotResult& slot : out.verdict.slots)
    EXPECT_EQ(slot.outcome, Outcome::Undecided) << slot.name;
}

TEST(Slots, GiveTheSameBytesTwice) {
  const Mesh real = plate_of({kLeft, kRight});
  EXPECT_EQ(result_json(checked(real, 40)), result_json(checked(real, 40)));
}

}  // namespace
}  // namespace trammel
