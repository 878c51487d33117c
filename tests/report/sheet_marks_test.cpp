#include "trammel/report/sheet_marks.hpp"

#include <gtest/gtest.h>

#include "report/pdf_tools.hpp"
#include "report/sample_inspection.hpp"

namespace trammel {
namespace {

TEST(SheetMarks, ABalloonIsRoundForShortLabelsAndNeverWiderThanItsCap) {
  const PdfCanvas canvas("t", "");
  EXPECT_DOUBLE_EQ(balloon_half_width(canvas, "1"), kBalloonRadius);
  EXPECT_GT(balloon_half_width(canvas, "M8 left"), kBalloonRadius);
  EXPECT_LT(balloon_half_width(canvas, std::string(300, 'W')), 59.1);
}

TEST(SheetMarks, OnlyHolesThatAreNotGoodAreColoured) {
  EXPECT_TRUE(balloon_colour(true, Outcome::Fail) == kBad);
  EXPECT_TRUE(balloon_colour(true, Outcome::Pass) == kInk);
  EXPECT_TRUE(balloon_colour(false, Outcome::Fail) == kInk);
}

TEST(SheetMarks, TheThreeVerdictsDifferInShapeAndNotInColourAlone) {
  const Outcome outcomes[] = {Outcome::Pass, Outcome::Fail, Outcome::Undecided};
  std::vector<std::size_t> sizes;
  for (const Outcome outcome : outcomes) {
    PdfCanvas canvas("t", "");
    canvas.add_page();
    draw_verdict_mark(canvas, outcome, 100, 100, 25);
    sizes.push_back(canvas.bytes().size());
  }
  // Other path operators: other lengths of the page's content.
  EXPECT_NE(sizes[0], sizes[1]);
  EXPECT_NE(sizes[1], sizes[2]);
}

TEST(SheetMarks, FootersNumberEveryPage) {
  PdfCanvas canvas("t", "");
  canvas.add_page();
  canvas.add_page();
  draw_footers(canvas, test::passing_inspection(8.0));
  const auto text = test::print_of("pdftotext", "-f 2", canvas.bytes());
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_NE(text->find("trammel 0.1.0"), std::string::npos) << *text;
  EXPECT_NE(text->find("2/2"), std::string::npos) << *text;
}

}  // namespace
}  // namespace trammel
