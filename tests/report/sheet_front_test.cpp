#include <gtest/gtest.h>

#include "report/pdf_tools.hpp"
#include "report/sample_inspection.hpp"
#include "trammel/report/sheet_pages.hpp"

namespace trammel {
namespace {

std::optional<std::string> front_of(const Inspection& inspection) {
  const SheetContext context(inspection);
  PdfCanvas canvas("t", "");
  draw_front_page(canvas, context);
  EXPECT_EQ(canvas.page_count(), 1U);
  return test::print_of("pdftotext", "-layout", canvas.bytes());
}

TEST(SheetFront, AFailHasASectionThroughItsWorstRegion) {
  const auto text = front_of(test::failing_inspection(3.0));
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_NE(text->find("Section through "), std::string::npos) << *text;
  EXPECT_NE(text->find("May it be believed"), std::string::npos) << *text;
}

TEST(SheetFront, APassShowsTheOtherSideInstead) {
  const auto text = front_of(test::passing_inspection(3.0));
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_EQ(text->find("Section through "), std::string::npos) << *text;
  EXPECT_NE(text->find("The other side, from "), std::string::npos) << *text;
}

TEST(SheetFront, APlanMadeOfOptionsIsCalledSo) {
  Inspection inspection = test::passing_inspection(5.0);
  inspection.plan.file.clear();
  const auto text = front_of(inspection);
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_NE(text->find("plan from the command line: ±0.50 mm"), std::string::npos) << *text;
}

TEST(SheetFront, NamesWhoCheckedAndTheScannerWhereThePlanDoes) {
  Inspection inspection = test::passing_inspection(5.0);
  const auto none = front_of(inspection);
  if (!none) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_EQ(none->find("checked by"), std::string::npos) << *none;
  inspection.plan.checked_by = "second bench";
  inspection.plan.scanner = "arm with a stripe";
  const auto text = front_of(inspection);
  EXPECT_NE(text->find("scanned with arm with a stripe"), std::string::npos) << *text;
  EXPECT_NE(text->find("second bench"), std::string::npos) << *text;
}

}  // namespace
}  // namespace trammel
