#include "trammel/report/slot_words.hpp"

#include <gtest/gtest.h>

#include "report/sample_inspection.hpp"
#include "trammel/report/front_words.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

SlotCheck asked() {
  return {"left", {30, 20, 3}, 0.5, Limits{7.9, 8.2}, Limits{19.8, 20.2}};
}

TEST(SlotWords, SayWhatIsWorstFirst) {
  const SlotCheck check = asked();
  SlotResult slot = test::sample_slot(Outcome::Fail);
  EXPECT_EQ(slot_fault(slot, &check, 2), "sits 0.5 mm towards +Y");
  slot.offset_mm = Eigen::Vector3d(0, 0.05, 0);
  slot.turn_rad = -0.05;
  EXPECT_EQ(slot_fault(slot, &check, 2), "is turned by 2.86\u00b0");
  slot.position_mm = 0.2;
  EXPECT_EQ(slot_fault(slot, &check, 2), "is too long: 20.40 mm");
  slot.width_mm = 7.61;
  EXPECT_EQ(slot_fault(slot, &check, 2), "is too narrow: 7.61 mm");
  slot.width_mm = 8.0;
  slot.length_mm = 20.0;
  EXPECT_EQ(slot_fault(slot, &check, 2), "is not as planned");
  slot.outcome = Outcome::Undecided;
  EXPECT_EQ(slot_fault(slot, &check, 2), "cannot be decided");
  slot.state = HoleState::Unseen;
  EXPECT_EQ(slot_fault(slot, &check, 2), "could not be measured");
  slot.state = HoleState::Closed;
  EXPECT_EQ(slot_fault(slot, nullptr, 2), "may be missing");
  slot.outcome = Outcome::Fail;
  EXPECT_EQ(slot_fault(slot, nullptr, 2), "is missing");
}

TEST(SlotWords, GiveFiguresWithTheirLimits) {
  const SlotCheck check = asked();
  SlotResult slot = test::sample_slot(Outcome::Fail);
  EXPECT_EQ(
      slot_figures(slot, &check, 2),
      "Position 1.10 against 0.50; width 8.05 (7.90 to 8.20); length 20.40 (19.80 to 20.20).");
  EXPECT_EQ(slot_figures(slot, nullptr, 2), "Position 1.10; width 8.05; length 20.40.");
  slot.position_mm.reset();
  EXPECT_EQ(slot_figures(slot, &check, 2), "Not measured.");
}

TEST(SlotWords, StandInFindingsSentenceAndColumns) {
  Inspection inspection = test::passing_inspection(6.0);
  inspection.plan.slots = {asked()};
  inspection.verdict.slots = {test::sample_slot(Outcome::Pass)};
  EXPECT_NE(verdict_sentence(inspection).find(", and so is slot left"), std::string::npos);
  inspection.verdict.slots = {test::sample_slot(Outcome::Fail)};
  inspection.verdict.outcome = Outcome::Fail;
  EXPECT_NE(verdict_sentence(inspection).find("lot left sits 0.5 mm towards +Y"), std::string::npos)
      << verdict_sentence(inspection);
  bool found = false;
  for (const Finding& finding : findings(inspection)) {
    if (finding.subject != Subject::Slot) continue;
    found = true;
    EXPECT_EQ(finding.title.substr(0, 29), "Slot left sits 0.5 mm towards");
    EXPECT_NEAR(finding.severity, 1.1 / 0.5, 1e-12);
    EXPECT_TRUE(has_place(finding));
    EXPECT_EQ(mark_of(finding), "slot-0");
  }
  EXPECT_TRUE(found);
  EXPECT_EQ(slot_names(inspection.verdict.slots), "slot left");
}

}  // namespace
}  // namespace trammel
