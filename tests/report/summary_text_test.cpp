#include <gtest/gtest.h>

#include <algorithm>

#include "report/sample_inspection.hpp"
#include "trammel/report/report.hpp"

namespace trammel {
namespace {

TEST(SummaryText, BeginsWithTheVerdictAndEndsWithTheSheet) {
  const std::string text = summary_text(test::failing_inspection(5.0), "bracket-2-sheet");
  EXPECT_EQ(text.rfind("FAIL  Toolbox bracket, left: Three places", 0), 0U) << text;
  const std::string last = "Sheet: bracket-2-sheet/sheet.pdf\n";
  ASSERT_GE(text.size(), last.size());
  EXPECT_EQ(text.substr(text.size() - last.size()), last);
}

TEST(SummaryText, IsTenLinesAtMostHoweverManyFindings) {
  Inspection inspection = test::failing_inspection(5.0);
  for (int id = 4; id < 200; ++id) {
    inspection.verdict.regions.push_back(inspection.verdict.regions[0]);
    inspection.verdict.regions.back().id = id;
    inspection.verdict.actions.push_back("Do something else.");
  }
  inspection.verdict.flaws.resize(3);
  inspection.verdict.flaws[0].words = "The wall leans";
  const std::string text = summary_text(inspection, "out");
  EXPECT_LE(std::count(text.begin(), text.end(), '\n'), 10);
  EXPECT_NE(text.find("Why: The wall leans"), std::string::npos) << text;
  EXPECT_NE(text.find("and 197 more on the sheet."), std::string::npos) << text;
}

TEST(SummaryText, NamesTheScanThatTheBoltsStandIn) {
  Inspection inspection = test::passing_inspection(6.0);
  EXPECT_EQ(summary_text(inspection, "out").find("Bolts"), std::string::npos);
  inspection.verdict.bolt_ups.resize(2);
  inspection.verdict.bolt_ups[1].mate = "frame.ply";
  inspection.verdict.bolt_ups[1].group = "roof";
  const std::string text = summary_text(inspection, "out");
  EXPECT_NE(text.find("(U, k = 2). Bolts of roof stand as in frame.ply.\n"), std::string::npos)
      << text;
}

TEST(SummaryText, ControlCharactersInNamesDoNotReachTheTerminal) {
  Inspection inspection = test::passing_inspection(6.0);
  inspection.plan.title = "evil\x1b[2J\nname";
  const std::string text = summary_text(inspection, "out");
  EXPECT_EQ(text.find('\x1b'), std::string::npos);
  EXPECT_NE(text.find("evil\uFFFD[2J\uFFFDname"), std::string::npos);
}

TEST(SummaryText, AFailingDistanceHasALine) {
  Inspection inspection = test::passing_inspection(6.0);
  inspection.verdict.outcome = Outcome::Fail;
  inspection.verdict.distances = {test::sample_distance(36.56, Outcome::Fail)};
  const std::string text = summary_text(inspection, "out");
  EXPECT_NE(text.find(": Distance pitch is too long."), std::string::npos) << text;
  EXPECT_NE(
      text.find("pitch  Distance pitch is too long: 36.56 mm. 36.56 mm against 36.06 (35.86 to "
                "36.26, ISO 2768-m)."),
      std::string::npos)
      << text;
}

}  // namespace
}  // namespace trammel
