#include "report/slots_json.hpp"

#include <gtest/gtest.h>

#include "report/sample_inspection.hpp"
#include "trammel/report/report.hpp"

namespace trammel {
namespace {

TEST(SlotsJson, TellsWhatWasMeasuredAndNullWhereNothingWas) {
  EXPECT_EQ(slots_json({}), nlohmann::ordered_json::array());
  SlotResult closed = test::sample_slot(Outcome::Undecided);
  closed.state = HoleState::Closed;
  closed.position_mm.reset();
  closed.offset_mm.reset();
  closed.turn_rad.reset();
  closed.width_mm.reset();
  closed.length_mm.reset();
  const auto json = slots_json({test::sample_slot(Outcome::Fail), closed});
  EXPECT_EQ(json[0]["name"], "left");
  EXPECT_EQ(json[0]["state"], "measured");
  EXPECT_EQ(json[0]["position"], 1.1);
  EXPECT_EQ(json[0]["offset"][1], 0.5);
  EXPECT_EQ(json[0]["turn"], 0.01);
  EXPECT_EQ(json[0]["width"], 8.05);
  EXPECT_EQ(json[0]["length"], 20.4);
  EXPECT_EQ(json[0]["nominal_width"], 8.0);
  EXPECT_EQ(json[0]["nominal_length"], 20.0);
  EXPECT_EQ(json[0]["verdict"], "fail");
  EXPECT_EQ(json[0]["through"], true);
  EXPECT_EQ(json[1]["state"], "closed");
  for (const char* key : {"position", "offset", "turn", "width", "length", "width_error"})
    EXPECT_TRUE(json[1][key].is_null()) << key;
}

TEST(SlotsJson, StandInTheResult) {
  Inspection inspection = test::passing_inspection(6.0);
  inspection.verdict.slots = {test::sample_slot(Outcome::Pass)};
  inspection.verdict.other_slots = {test::sample_slot(Outcome::Listed)};
  const auto json = nlohmann::json::parse(result_json(inspection));
  EXPECT_EQ(json["slots"][0]["name"], "left");
  EXPECT_EQ(json["other_slots"][0]["verdict"], "listed");
}

}  // namespace
}  // namespace trammel
