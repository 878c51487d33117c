#include "trammel/report/section_figure.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <string>

#include "report/pdf_tools.hpp"
#include "report/sample_inspection.hpp"

namespace trammel {
namespace {

TEST(SectionFigure, StatesItsFactorAndThePeak) {
  const Inspection inspection = test::failing_inspection(2.0);
  const SheetContext context(inspection);
  const Region& region = inspection.verdict.regions[0];
  const auto section = section_through(inspection, context.painter.corners(), region);
  ASSERT_TRUE(section.has_value());
  PdfCanvas canvas("t", "");
  canvas.add_page();
  draw_section(canvas, context, *section, region, {{392, 110}, {559, 300}});
  const auto text = test::print_of("pdftotext", "", canvas.bytes());
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  // The box less the heading (15) and free room (26 on each side) holds the window; of the round
  // factors the largest is taken that draws the peak no longer than 20 points.
  const double scale =
      std::min((167.0 - 52.0) / section->window.width(), (175.0 - 52.0) / section->window.height());
  std::string factor = "1";
  for (const char* round : {"2", "5", "10", "20", "50"}) {
    if (std::stod(round) * region.peak_mm * scale <= 20.0) factor = round;
  }
  EXPECT_NE(text->find("Section through 1, misfit × " + factor), std::string::npos) << *text;
  EXPECT_NE(text->find("+1.2"), std::string::npos) << *text;
}

TEST(SectionFigure, KeepsItsWordsInsideANarrowFrame) {
  const Inspection inspection = test::failing_inspection(2.0);
  const SheetContext context(inspection);
  const Region& region = inspection.verdict.regions[0];
  const auto section = section_through(inspection, context.painter.corners(), region);
  ASSERT_TRUE(section.has_value());
  for (const double width : {70.0, 90.0, 120.0, 160.0}) {
    PdfCanvas canvas("t", "");
    canvas.add_page();
    draw_section(canvas, context, *section, region, {{392, 110}, {392 + width, 300}});
    const auto text = test::print_of("pdftotext", "-bbox", canvas.bytes());
    if (!text) GTEST_SKIP() << "pdftotext is not installed";
    int words = 0;
    for (std::size_t at = text->find("xMin="); at != std::string::npos;
         at = text->find("xMin=", at + 1)) {
      EXPECT_GE(std::stod(text->substr(at + 6)), 391.9) << width << "\n" << *text;
      ++words;
    }
    EXPECT_GT(words, 5) << *text;
  }
}

TEST(SectionFigure, ATallSectionWantsMoreHeight) {
  Section wide, tall;
  wide.window = {{0, 0}, {90, 10}};
  tall.window = {{0, 0}, {90, 80}};
  EXPECT_GT(section_height(tall, 167.0), section_height(wide, 167.0) + 50.0);
}

}  // namespace
}  // namespace trammel
