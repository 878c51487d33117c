#include <gtest/gtest.h>

#include <algorithm>
#include <limits>
#include <regex>

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

TEST(SheetPdf, AUsualPartTakesFourPagesOfA4AndAGoodOneThreeWithBothFontsEmbedded) {
  const std::string pdf = sheet_pdf(test::failing_inspection(3.0));
  const auto info = print_of("pdfinfo", "", pdf);
  const auto fonts = print_of("pdffonts", "", pdf);
  if (!info || !fonts) GTEST_SKIP() << "pdfinfo or pdffonts is not installed";
  EXPECT_SAYS(*info, "Pages:           4");
  EXPECT_SAYS(*print_of("pdfinfo", "", sheet_pdf(test::passing_inspection(4.0))),
              "Pages:           3");
  EXPECT_SAYS(*info, "(A4)");
  EXPECT_SAYS(*info, "Toolbox bracket, left: fail");
  EXPECT_SAYS(*fonts, "DejaVuSans-Bold");
  EXPECT_EQ(fonts->find("emb no"), std::string::npos);
  EXPECT_LT(pdf.size(), 3'000'000U);
}

/// A failing part with everything that page 1 can tell, in words as long as they come.
Inspection talkative_inspection() {
  Inspection inspection = test::failing_inspection(6.0);
  Flaw flaw;
  flaw.share = 0.88;
  flaw.words =
      "The wall at (0.0, 30.0, 27.5) that looks \u2212X is twisted by 2.30\u00b0 from end to end: "
      "its "
      "corners stand 0.55 mm off the flat, towards +X near (0.0, 0.0, 55.0) and (0.0, 60.0, 0.0)";
  inspection.verdict.flaws = {flaw, flaw};
  BoltUp up;
  up.outcome = Outcome::Fail;
  up.play_mm = -0.51;
  up.uncertainty_mm = 0.11;
  up.openings = {{"A", 9.7, 0.7, Eigen::Vector3d(1, 1, 0)},
                 {"B", 9.6, 0.6, Eigen::Vector3d(1, 1, 0)}};
  up.words = "The bolts do not all go through, wherever the part is moved";
  inspection.verdict.bolt_ups = {up, up};
  return inspection;
}

TEST(SheetPdf, OnEitherPaperNoWordLeavesThePageOrCoversAnother) {
  for (const Paper paper : {Paper::A4, Paper::Letter}) {
    for (const Inspection& inspection :
         {talkative_inspection(), test::passing_inspection(4.0), test::undecided_inspection(4.0)}) {
      const auto words = test::placed_words(sheet_pdf(inspection, paper));
      if (!words) GTEST_SKIP() << "pdftotext is not installed";
      ASSERT_GT(words->size(), 300U);
      for (std::size_t i = 0; i < words->size(); ++i) {
        const test::Word& word = (*words)[i];
        EXPECT_EQ(word.page_width, size_of(paper).width);
        EXPECT_EQ(word.page_height, size_of(paper).height);
        EXPECT_GE(word.left, 35.0) << word.text;
        EXPECT_LE(word.right, word.page_width - 35.0) << word.text << " on page " << word.page;
        EXPECT_GE(word.top, 25.0) << word.text;
        EXPECT_LE(word.bottom, word.page_height - 20.0) << word.text << " on page " << word.page;
        for (std::size_t j = i + 1; j < words->size() && (*words)[j].page == word.page; ++j) {
          const test::Word& other = (*words)[j];
          const double across = std::min(word.right, other.right) - std::max(word.left, other.left);
          const double down = std::min(word.bottom, other.bottom) - std::max(word.top, other.top);
          // Boxes hold what hangs below the line: neighbouring lines may share two points.
          EXPECT_FALSE(across > 1.0 && down > 2.5)
              << word.text << " and " << other.text << " on page " << word.page;
        }
      }
    }
  }
}

TEST(SheetPdf, WhatWentWrongIsSaidOnPageOneAndLaterOnlyInFigures) {
  const std::string pdf = sheet_pdf(talkative_inspection());
  const auto front = words_of(pdf, "-l 1"), later = words_of(pdf, "-f 2");
  if (!front || !later) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_SAYS(*front, "is twisted by 2.30\u00b0");
  EXPECT_SAYS(*front, "stand 0.55 mm off the flat");
  EXPECT_SAYS(*later, "What went wrong, in figures");
  EXPECT_EQ(later->find("is twisted"), std::string::npos);
  EXPECT_EQ(later->find("off the flat"), std::string::npos);
}

TEST(SheetPdf, ReadersFindNothingToComplainOf) {
  const std::string pdf = sheet_pdf(test::failing_inspection(6.0));
  const auto text = print_of("pdftotext", "", pdf);
  const auto complaints = test::complaints_of("pdftotext", pdf);
  if (!text || !complaints) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_EQ(*complaints, "");
  EXPECT_SAYS(*text, "\u00b10.05 mm (U, k = 2)");  // through the map from codes to words
}

TEST(SheetPdf, SaysALongTitleWholeAndWhichPlanItWas) {
  Inspection inspection = test::failing_inspection(5.0);
  for (int i = 0; i < 30; ++i)
    inspection.plan.title += (i > 0 ? " word" : "word") + std::to_string(i);
  inspection.plan.file = "plans/part of the plan.toml";
  inspection.plan.sha256 = std::string(32, 'a') + std::string(32, '7');
  auto text = print_of("pdftotext", "", sheet_pdf(inspection));
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  for (char& sign : *text)
    if (sign == '\n') sign = ' ';
  EXPECT_SAYS(*text, inspection.plan.title);  // beyond two lines page 1 cuts it
  EXPECT_SAYS(*text, "part of the plan.toml");
  EXPECT_SAYS(*text, inspection.plan.sha256);
}

TEST(SheetPdf, BookmarksLeadToEveryHeading) {
  const auto json =
      print_of("qpdf", "--json --json-key=outlines", sheet_pdf(test::failing_inspection(5.0)));
  if (!json) GTEST_SKIP() << "qpdf is not installed";
  for (const char* title :
       {"Fail", "All sides", "From near, and cut open", "Places outside the band", "Holes",
        "What was seen", "Where it comes from"}) {
    EXPECT_SAYS(*json, std::string("\"title\": \"") + title + "\"");
  }
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
       {std::string("<script>alert(1)</script>"), std::string("\U0001F600\U00020000"),
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

TEST(SheetPdf, OddNamesAreReadAsTheyAre) {
  // None of the PDF's fonts has the letter U+20000: there a replacement stands.
  for (const auto& [name, shown] :
       {std::pair<std::string, std::string>{"<script>alert(1)</script>", ""},
        {"a\"b'c\\d(e)f&g", ""},
        {"\u0414\u0435\u0442\u0430\u043b\u044c \u00fc \u2212", ""},
        {"part \U0001F600 \U0001F527 left", ""},
        {"part \U00020000 left", "part \uFFFD left"}}) {
    Inspection inspection = test::failing_inspection(6.0);
    inspection.plan.title = inspection.source.file = name;
    const auto text = print_of("pdftotext", "-layout", sheet_pdf(inspection));
    if (!text) GTEST_SKIP() << "pdftotext is not installed";
    EXPECT_SAYS(*text, (shown.empty() ? name : shown));
  }
  // A name of 300 letters is all there where files are listed, on as many lines as it needs.
  Inspection inspection = test::failing_inspection(6.0);
  inspection.source.file = std::string(300, 'W');
  const auto text = print_of("pdftotext", "", sheet_pdf(inspection));
  EXPECT_GE(std::count(text->begin(), text->end(), 'W'), 300);
}

TEST(SheetPdf, HundredsOfRegionsFlowOnAndTheRestIsCounted) {
  Inspection inspection = test::failing_inspection(5.0);
  for (int id = 4; id <= 300; ++id) {
    inspection.verdict.regions.push_back(inspection.verdict.regions[0]);
    inspection.verdict.regions.back().id = id;
  }
  auto text = words_of(sheet_pdf(inspection));
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_SAYS(*text, "And 240 more places, ");
  text->erase(std::remove(text->begin(), text->end(), ' '), text->end());
  EXPECT_SAYS(*text, "6/6");
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
