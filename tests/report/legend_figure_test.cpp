#include "trammel/report/legend_figure.hpp"

#include <gtest/gtest.h>

#include "report/pdf_tools.hpp"
#include "report/sample_inspection.hpp"

namespace trammel {
namespace {

std::optional<std::string> words_of_legend(const Inspection& inspection) {
  const SheetContext context(inspection);
  PdfCanvas canvas("t", "");
  canvas.add_page();
  draw_legend(canvas, context, {{36, 100}, {559, 230}});
  return test::print_of("pdftotext", "-layout", canvas.bytes());
}

TEST(LegendFigure, NamesLimitsStepsSharesAndTheDoubtAroundThem) {
  const auto text = words_of_legend(test::failing_inspection(4.0));
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  for (const char* words : {"−1.5", "−0.5", "+0.5", "+0.75", "+1.5 mm", "shy: too little",
                            "proud: too much", "inside ±0.50 mm:", "±U, undecided there"}) {
    EXPECT_NE(text->find(words), std::string::npos) << words << " in " << *text;
  }
}

TEST(LegendFigure, HasItsUnitOnTheLineOfTheNumbersWhateverTheBand) {
  for (const double band : {0.05, 0.5, 12.345, 0.0125}) {
    Inspection inspection = test::failing_inspection(6.0);
    inspection.plan.band = {band, band};
    const SheetContext context(inspection);
    PdfCanvas canvas("t", "");
    canvas.add_page();
    draw_legend_strip(canvas, context, 36, 100, 523);
    const auto text = test::print_of("pdftotext", "-layout", canvas.bytes());
    if (!text) GTEST_SKIP() << "pdftotext is not installed";
    const std::size_t unit = text->find(" mm");
    ASSERT_NE(unit, std::string::npos) << *text;
    const std::size_t line = text->rfind('\n', unit) + 1;  // 0 where it is the first
    EXPECT_NE(text->find("\u2212", line), std::string::npos) << *text;
    EXPECT_LT(text->find("\u2212", line), unit) << *text;
  }
}

TEST(LegendFigure, SaysWhatTheAxisDoesNotReach) {
  Inspection inspection = test::passing_inspection(6.0);
  inspection.surface.readings.deviation_mm.setConstant(-4.0);
  const auto text = words_of_legend(inspection);
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_NE(text->find("17,380 mm² further out"), std::string::npos) << *text;
}

}  // namespace
}  // namespace trammel
