#include <gtest/gtest.h>

#include <algorithm>
#include <limits>

#include "report/pdf_tools.hpp"
#include "report/sample_inspection.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/report/report.hpp"

namespace trammel {
namespace {

using test::print_of;

/// The sheet's words with line breaks as blanks, so that wrapping does not matter.
std::optional<std::string> words_of(const std::string& pdf, const std::string& options = "") {
  auto text = print_of("pdftotext", options, pdf);
  if (!text) return text;
  for (char& c : *text)
    c = c == '\n' ? ' ' : c;
  return text;
}

#define EXPECT_SAYS(text, words) EXPECT_NE((text).find(words), std::string::npos) << (text)

TEST(SheetPdf, TheFirstPageSaysVerdictPlacesActionsAndCaution) {
  const auto text = words_of(sheet_pdf(test::failing_inspection(3.0)), "-l 1");
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_SAYS(*text, "Fail");
  EXPECT_SAYS(*text, "Three places stand outside ±0.50 mm and hole B is 1.2 mm off place.");
  EXPECT_SAYS(*text, "Toolbox bracket, left");
  EXPECT_SAYS(*text, "scan bracket-2.ply, 25 Nov 2026");
  EXPECT_SAYS(*text, "plan toolbox-bracket.toml");
  EXPECT_SAYS(*text, "Hole B sits 1.2 mm towards +Y.");
  EXPECT_SAYS(*text, "Bend the upright back");
  EXPECT_SAYS(*text, "±0.05 mm (U, k = 2)");
  EXPECT_SAYS(*text, "This sheet is about shape only.");
  EXPECT_SAYS(*text, "decision rule ISO 14253-1");
}

TEST(SheetPdf, LaterPagesHoldViewsTablesAndOrigin) {
  const auto text = words_of(sheet_pdf(test::failing_inspection(3.0)), "-f 2");
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_SAYS(*text, "Seen from ");
  EXPECT_SAYS(*text, "Places outside the band");
  EXPECT_SAYS(*text, std::string(64, 'b'));
  EXPECT_SAYS(*text, "trammel check toolbox-bracket.toml --scan bracket-2.ply");
  EXPECT_SAYS(*text, "never counts as good");
}

TEST(SheetPdf, PassAndUndecidedSayWhatTheyRestOn) {
  const auto pass = words_of(sheet_pdf(test::passing_inspection(4.0)), "-l 1");
  const auto undecided = words_of(sheet_pdf(test::undecided_inspection(4.0)), "-l 1");
  if (!pass || !undecided) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_SAYS(*pass, "How near the limits it came");
  EXPECT_SAYS(*undecided, "What would settle it");
  EXPECT_SAYS(*undecided, "Scan into hole B from both ends.");
}

TEST(SheetPdf, AUsualPartTakesThreePagesOfA4WithBothFontsEmbedded) {
  const std::string pdf = sheet_pdf(test::failing_inspection(3.0));
  const auto info = print_of("pdfinfo", "", pdf);
  const auto fonts = print_of("pdffonts", "", pdf);
  if (!info || !fonts) GTEST_SKIP() << "pdfinfo or pdffonts is not installed";
  EXPECT_SAYS(*info, "Pages:           3");
  EXPECT_SAYS(*info, "(A4)");
  EXPECT_SAYS(*info, "Toolbox bracket, left: fail");
  EXPECT_SAYS(*fonts, "DejaVuSans-Bold");
  EXPECT_EQ(fonts->find("emb no"), std::string::npos);
  EXPECT_LT(pdf.size(), 3'000'000U);
}

TEST(SheetPdf, HasTheSameBytesTwiceAndOnAnyNumberOfThreads) {
  const Inspection inspection = test::failing_inspection(3.0);
  std::string one, two;
  {
    const ThreadLimit limit(1);
    one = sheet_pdf(inspection);
  }
  {
    const ThreadLimit limit(2);
    two = sheet_pdf(inspection);
  }
  EXPECT_TRUE(one == two);
  EXPECT_TRUE(two == sheet_pdf(inspection));
}

TEST(SheetPdf, OddNamesComeThrough) {
  Inspection inspection = test::failing_inspection(5.0);
  for (const std::string& name :
       {std::string("<script>alert(1)</script>"), std::string("\U0001F600\U0001F600"),
        std::string(300, 'W'), std::string("a\"b'c\\d(e)f\n\x01\xff"), std::string()}) {
    inspection.plan.title = name;
    inspection.plan.file = name;
    inspection.source.file = name;
    inspection.design.file = name;
    inspection.verdict.holes[0].name = name;
    inspection.verdict.holes[1].name = name;
    inspection.verdict.regions[0].zone = name;
    inspection.run.date = name;
    inspection.run.command_line = name;
    inspection.verdict.reasons = {name};
    inspection.verdict.actions = {name, name, name, name};
    const auto info = print_of("pdfinfo", "", sheet_pdf(inspection));
    if (!info) GTEST_SKIP() << "pdfinfo is not installed";
    EXPECT_SAYS(*info, "Creator:         trammel");  // it opened as a whole document
  }
}

TEST(SheetPdf, HundredsOfRegionsFlowOnAndTheRestIsCounted) {
  Inspection inspection = test::failing_inspection(5.0);
  for (int id = 4; id <= 300; ++id) {
    inspection.verdict.regions.push_back(inspection.verdict.regions[0]);
    inspection.verdict.regions.back().id = id;
  }
  auto text = words_of(sheet_pdf(inspection));
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_SAYS(*text, "And 240 more places, in result.json.");
  text->erase(std::remove(text->begin(), text->end(), ' '), text->end());
  EXPECT_SAYS(*text, "4/4");
}

TEST(SheetPdf, APartThatWasNotSeenAtAllStillHasASheet) {
  Inspection inspection = test::undecided_inspection(5.0);
  inspection.surface.readings.deviation_mm.setConstant(std::numeric_limits<double>::quiet_NaN());
  inspection.alignment.found = false;
  inspection.verdict.coverage.seen_fraction = 0.0;
  const auto text = words_of(sheet_pdf(inspection), "-l 1");
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_SAYS(*text, "0 % of the surface");
  EXPECT_SAYS(*text, "no pose could be verified");
}

}  // namespace
}  // namespace trammel
