#include "trammel/report/view_figure.hpp"

#include <gtest/gtest.h>

#include "report/pdf_tools.hpp"
#include "report/sample_inspection.hpp"

namespace trammel {
namespace {

std::string drawn_view(const SheetContext& context, const View& view, bool words) {
  PdfCanvas canvas("t", "");
  canvas.add_page();
  draw_view(canvas, context, view, {{{36, 100}, {378, 420}}, 150.0, 14, words});
  return canvas.bytes();
}

TEST(ViewFigure, CarriesBalloonsForWhatItShowsAndNoneForWhatIsHidden) {
  const Inspection inspection = test::failing_inspection(3.0);
  const SheetContext context(inspection);
  const auto text =
      test::print_of("pdftotext", "", drawn_view(context, view_from({1, -1, 1}), true));
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  for (const char* label : {"1\n", "3\n", "A\n", "B\n", "X\n", "Z\n", "20 mm", "not seen"})
    EXPECT_NE(text->find(label), std::string::npos) << label << " in " << *text;
  EXPECT_EQ(text->find("2\n"), std::string::npos) << "region 2 faces away: " << *text;
}

TEST(ViewFigure, PicturesAreAtLeast150DotsAnInch) {
  const Inspection inspection = test::failing_inspection(4.0);
  const SheetContext context(inspection);
  const auto list =
      test::print_of("pdfimages", "-list", drawn_view(context, view_from({1, -1, 1}), false));
  if (!list) GTEST_SKIP() << "pdfimages is not installed";
  // Columns of poppler's list: … x-ppi y-ppi size ratio. One picture, asked for at 150.
  EXPECT_NE(list->find(" 150   150 "), std::string::npos) << *list;
}

}  // namespace
}  // namespace trammel
