#include "report/bolts_json.hpp"

#include <gtest/gtest.h>

#include "report/sample_inspection.hpp"
#include "trammel/report/report.hpp"

namespace trammel {
namespace {

using AnyJson = nlohmann::json;

TEST(BoltsJson, TellsWhetherItBoltsUpAndWhichHolesToOpen) {
  Inspection inspection = test::failing_inspection(4.0);
  BoltUp measured;
  measured.outcome = Outcome::Fail;
  measured.play_mm = -0.3;
  measured.uncertainty_mm = 0.05;
  measured.openings = {{"A", 9.6, 0.6, Eigen::Vector3d::UnitX()}};
  BoltUp unseen;
  unseen.group = "foot";
  inspection.verdict.bolt_ups = {measured, unseen};
  const AnyJson json = AnyJson::parse(result_json(inspection))["bolt_ups"];
  EXPECT_EQ(json[0]["verdict"], "fail");
  EXPECT_EQ(json[0]["play"], -0.3);
  EXPECT_EQ(json[0]["open"][0]["diameter"], 9.6);
  EXPECT_EQ(json[0]["open"][0]["hole"], "A");
  EXPECT_EQ(json[1]["group"], "foot");
  EXPECT_TRUE(json[1]["play"].is_null());
}

TEST(BoltsJson, TellsWhosePatternTheBoltsStandInAndWhatWasMeasuredOfIt) {
  Inspection inspection = test::failing_inspection(4.0);
  inspection.verdict.bolt_ups.resize(2);
  inspection.verdict.bolt_ups[0].mate = "frame.ply";
  inspection.verdict.bolt_ups[0].mate_sha256 = "0123abcd";
  Mate mate = test::frame_mate();
  mate.unit = "in";
  mate.uncertainty_mm = 0.06;
  mate.holes[0].center_mm = {1, 2, 3};
  mate.holes[0].center_error_mm = 0.01;
  inspection.mates = {mate};
  const AnyJson json = AnyJson::parse(result_json(inspection));
  EXPECT_EQ(json["bolt_ups"][0]["mate"], "frame.ply");
  EXPECT_EQ(json["bolt_ups"][0]["mate_sha256"], "0123abcd");
  EXPECT_TRUE(json["bolt_ups"][1]["mate"].is_null());
  EXPECT_EQ(json["mates"][0]["sha256"], "0123abcd");
  EXPECT_EQ(json["mates"][0]["uncertainty"], 0.06);
  EXPECT_EQ(json["mates"][0]["holes"][0]["center"], AnyJson({1.0, 2.0, 3.0}));
  EXPECT_EQ(json["mates"][0]["holes"][0]["standard_error"], 0.01);
  EXPECT_TRUE(json["mates"][0]["holes"][1]["center"].is_null());
  EXPECT_EQ(json["mates"][0]["holes"][1]["reason"], "no flat face was seen about it");
}

}  // namespace
}  // namespace trammel
