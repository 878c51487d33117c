#include "trammel/report/viewer_facts.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <nlohmann/json.hpp>

#include "report/sample_inspection.hpp"

namespace trammel {
namespace {

TEST(ViewerFacts, NameFindingsWorstFirstThenGoodHoles) {
  const Inspection inspection = test::failing_inspection(4.0);
  const SheetContext context(inspection);
  const ViewerMesh mesh = viewer_mesh(inspection, context.painter.corners());
  const auto facts = nlohmann::json::parse(viewer_facts(context, mesh, viewer_points(inspection)));
  ASSERT_EQ(facts.at("findings").size(), 5u);
  EXPECT_EQ(facts.at("findings").back().at("mark"), "hole-0");
  EXPECT_EQ(facts.at("findings").back().at("tone"), "pass");
  EXPECT_EQ(facts.at("findings").back().at("rims").size(), 2u);
  EXPECT_NEAR(facts.at("findings").back().at("radius").get<double>(),
              0.5 * inspection.verdict.holes[0].nominal_diameter_mm, 0.3);
  EXPECT_EQ(facts.at("colours").size(), 7u);
  EXPECT_EQ(facts.at("colours")[3], "#e4e4e0");
  // Two openings of each hole where it should be, and of B where it is.
  EXPECT_EQ(facts.at("rings").size(), 6u);
}

TEST(ViewerFacts, SlotsHaveAPlaceAndRingsOfTheirShape) {
  for (const Outcome outcome : {Outcome::Pass, Outcome::Fail}) {
    Inspection inspection = test::passing_inspection(6.0);
    inspection.verdict.slots = {test::sample_slot(outcome)};
    const SheetContext context(inspection);
    const ViewerMesh mesh = viewer_mesh(inspection, context.painter.corners());
    const auto facts =
        nlohmann::json::parse(viewer_facts(context, mesh, viewer_points(inspection)));
    const auto findings = facts.at("findings");
    const auto slot = std::find_if(findings.begin(), findings.end(), [](const auto& finding) {
      return finding.at("mark") == "slot-0";
    });
    ASSERT_NE(slot, findings.end());
    EXPECT_EQ(slot->at("tone"), outcome_name(outcome));
    EXPECT_EQ(slot->at("region"), 0);
    double half_straight = 0.0;
    for (const auto& part : slot->at("straight"))
      half_straight = std::hypot(half_straight, part.get<double>());
    EXPECT_NEAR(half_straight, 6.0, 1e-4);  // 8 × 20 mm
    // On both sides where it should be, and where it is if that is bad.
    const std::size_t of_holes = 2 * inspection.verdict.holes.size();
    EXPECT_EQ(facts.at("rings").size(), of_holes + (outcome == Outcome::Pass ? 2U : 4U));
  }
}

TEST(ViewerFacts, ListsThePlansBandAndThoseOfItsZones) {
  Inspection inspection = test::passing_inspection(6.0);
  inspection.plan.zones.push_back({"</script>", BoxShape{{0, 0, 0}, {1, 1, 1}}, {0.2, 0.1}});
  const SheetContext context(inspection);
  const std::string text = viewer_facts(context, viewer_mesh(inspection, context.painter.corners()),
                                        viewer_points(inspection));
  EXPECT_EQ(text.find('<'), text.npos);
  const auto facts = nlohmann::json::parse(text);
  ASSERT_EQ(facts.at("bands").size(), 2u);
  EXPECT_EQ(facts.at("bands")[1].at("name"), "</script>");
  EXPECT_EQ(facts.at("bands")[1].at("under"), 0.1);
}

TEST(ViewerFacts, SayHowTrueThePictureIs) {
  ViewerMesh mesh;
  mesh.readings.resize(2000);
  mesh.cells_of_design = 1'234'567;
  mesh.reading_error_mm = 0.01001;
  mesh.place_error_mm = 0.00119;
  const std::string words = shown_words(mesh);
  EXPECT_NE(words.find("2,000 pieces, joined from the 1,234,567"), words.npos) << words;
  // Rounded up, so that the words never promise more than is held.
  EXPECT_NE(words.find("readings within 0.0101 mm and places within 0.0012 mm"), words.npos)
      << words;
}

TEST(ViewerFacts, FlawsComeLastAndSayThatTheyAreFlaws) {
  Inspection inspection = test::failing_inspection(6.0);
  Flaw flaw;
  flaw.words = "The wall leans";
  flaw.center_mm = {1, 2, 3};
  inspection.verdict.flaws = {flaw};
  const SheetContext context(inspection);
  const auto facts = nlohmann::json::parse(viewer_facts(
      context, viewer_mesh(inspection, context.painter.corners()), viewer_points(inspection)));
  ASSERT_EQ(facts.at("findings").size(), 6u);
  const auto& last = facts.at("findings").back();
  EXPECT_EQ(last.at("mark"), "flaw-0");
  EXPECT_EQ(last.at("flaw"), true);
  EXPECT_EQ(last.at("center")[1], 2.0);
}

TEST(ViewerFacts, ADistanceHasNoPlaceToPointAt) {
  Inspection inspection = test::failing_inspection(6.0);
  const auto facts_of = [&] {
    const SheetContext context(inspection);
    return viewer_facts(context, viewer_mesh(inspection, context.painter.corners()),
                        viewer_points(inspection));
  };
  const std::string before = facts_of();
  inspection.verdict.distances = {test::sample_distance(36.56, Outcome::Fail)};
  EXPECT_EQ(facts_of(), before);
}

}  // namespace
}  // namespace trammel
