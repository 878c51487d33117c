#include <gtest/gtest.h>

#include "report/pdf_tools.hpp"
#include "report/sample_inspection.hpp"
#include "trammel/report/sheet_pages.hpp"

namespace trammel {
namespace {

TEST(SheetViews, EveryChosenViewIsOnThePageWithItsDirection) {
  const Inspection inspection = test::failing_inspection(3.0);
  const SheetContext context(inspection);
  PdfCanvas canvas("t", "");
  draw_view_pages(canvas, context);
  const auto text = test::print_of("pdftotext", "", canvas.bytes());
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  for (const View& view : context.views)
    EXPECT_NE(text->find("Seen " + view_title(view)), std::string::npos) << *text;
}

}  // namespace
}  // namespace trammel
