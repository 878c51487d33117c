#include "trammel/report/section_figure.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <optional>
#include <string>

#include "report/pdf_tools.hpp"
#include "report/sample_inspection.hpp"
#include "trammel/base/numbers.hpp"

namespace trammel {
namespace {

/// A section through the first region of a part that fails.
class SectionFigure : public ::testing::Test {
 protected:
  void SetUp() override { ASSERT_TRUE(section_.has_value()); }

  /// What pdftotext says of the figure in a frame of this width, at x = 392.
  [[nodiscard]] std::optional<std::string> print(double width, const std::string& options) const {
    PdfCanvas canvas("t", "");
    canvas.add_page();
    draw_section(canvas, context_, *section_, region_, {{392, 110}, {392 + width, 300}});
    return test::print_of("pdftotext", options, canvas.bytes());
  }

  const Inspection inspection_ = test::failing_inspection(2.0);
  const SheetContext context_{inspection_};
  const Region& region_ = inspection_.verdict.regions[0];
  const std::optional<Section> section_ =
      section_through(inspection_, context_.painter.corners(), region_);
};

TEST_F(SectionFigure, StatesItsFactorAndThePeak) {
  const auto text = print(167, "");
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  // The box less the heading (15) and free room (26 on each side) holds the window; of the round
  // factors the largest is taken that draws the peak no longer than 20 points.
  const double scale = std::min((167.0 - 52.0) / section_->window.width(),
                                (175.0 - 52.0) / section_->window.height());
  std::string factor = "1";
  for (const char* round : {"2", "5", "10", "20", "50"}) {
    if (std::stod(round) * region_.peak_mm * scale <= 20.0) factor = round;
  }
  EXPECT_NE(text->find("Section through 1, misfit × " + factor), std::string::npos) << *text;
  EXPECT_NE(text->find("+1.2"), std::string::npos) << *text;
  // The view is from −Y: a plane at Y 12 lies −12 along it.
  EXPECT_NE(text->find("cut at Y " + fixed(-section_->plane_mm, 1)), std::string::npos) << *text;
}

TEST_F(SectionFigure, KeepsItsWordsInsideANarrowFrame) {
  for (const double width : {70.0, 90.0, 120.0, 160.0}) {
    const auto text = print(width, "-bbox");
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

// The figure stood on the far face of a thin wall: only the ends of lines were minded.
TEST_F(SectionFigure, TheFigureOfThePeakCoversNoLineHoweverLong) {
  Section wall;
  wall.window = {{-20, -6}, {20, 3}};
  wall.pieces = {{{-20, 0}, {20, 0}, {0, 1}, -1.0, -1.0}, {{20, -3}, {-20, -3}, {0, -1}, 0.0, 0.0}};
  wall.peak = {0, 0};
  wall.peak_outward = {0, 1};
  Region region = region_;
  region.peak_mm = -1.0;
  PdfCanvas canvas("t", "");
  canvas.add_page();
  draw_section(canvas, context_, wall, region, {{100, 110}, {400, 260}});
  const auto words = test::placed_words(canvas.bytes());
  if (!words) GTEST_SKIP() << "pdftotext is not installed";
  // 300 wide less twice 22 holds 40 mm; the room's middle, 22 above the frame's, the window's.
  const double scale = 256.0 / 40.0, middle = 0.5 * (125.0 + 246.0);
  double at = 0.0;
  for (const test::Word& word : *words)
    if (word.text.find("1.0") != std::string::npos) at = 0.5 * (word.top + word.bottom);
  ASSERT_GT(at, 0.0);
  for (const double line_mm : {0.0, -3.0}) {
    const double line = middle - scale * (line_mm + 1.5);
    EXPECT_GT(std::abs(at - line), 5.5) << "the line at " << line << ", the words at " << at;
  }
}

TEST_F(SectionFigure, ATallSectionWantsMoreHeight) {
  Section wide, tall;
  wide.window = {{0, 0}, {90, 10}};
  tall.window = {{0, 0}, {90, 80}};
  EXPECT_GT(section_height(tall, 167.0), section_height(wide, 167.0) + 50.0);
}

}  // namespace
}  // namespace trammel
