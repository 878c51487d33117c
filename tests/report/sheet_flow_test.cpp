#include "trammel/report/sheet_flow.hpp"

#include <gtest/gtest.h>

#include "report/pdf_tools.hpp"
#include "report/sample_inspection.hpp"

namespace trammel {
namespace {

TEST(SheetFlow, ATableRunsOnWithItsHeadRepeated) {
  const Inspection inspection = test::passing_inspection(8.0);
  const SheetContext context(inspection);
  PdfCanvas canvas("t", "");
  SheetFlow flow(canvas, context);
  std::vector<TableRow> rows;
  for (int i = 0; i < 150; ++i)
    rows.push_back({{"row " + std::to_string(i)}, {"x"}});
  flow.table({{"name of row", 200.0}, {"more", 50.0, Anchor::End}}, rows);
  EXPECT_EQ(canvas.page_count(), 3U);  // 150 rows of 12.6 points on pages of 722
  const auto text = test::print_of("pdftotext", "-f 3", canvas.bytes());
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_NE(text->find("name of row"), std::string::npos) << *text;
  EXPECT_NE(text->find("row 149"), std::string::npos) << *text;
}

// Four holes with names of 300 letters took two pages, and the heading stood alone on a third.
TEST(SheetFlow, ALongNameStandsOverItsRow) {
  const Inspection inspection = test::passing_inspection(8.0);
  const SheetContext context(inspection);
  PdfCanvas canvas("t", "");
  SheetFlow flow(canvas, context);
  const std::string name = "first" + std::string(290, 'x') + " last";
  std::vector<TableRow> rows(12, TableRow{{name, kInk, true}, {"beside"}});
  rows.push_back({{"short", kInk, true}, {"beside"}});
  flow.heading("Holes", 30.0);
  flow.table({{"name", 66.0}, {"more", 60.0}}, rows);
  EXPECT_EQ(canvas.page_count(), 1U);
  const auto text = test::print_of("pdftotext", "-raw", canvas.bytes());
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_NE(text->find("last\nbeside"), std::string::npos) << *text;
  EXPECT_NE(text->find("short beside"), std::string::npos) << *text;
}

TEST(SheetFlow, ATableDoesNotBeginWhereItsFirstRowHasNoRoom) {
  const Inspection inspection = test::passing_inspection(8.0);
  const SheetContext context(inspection);
  const std::string name(290, 'x');
  for (std::size_t before = 48; before < 58; ++before) {
    PdfCanvas canvas("t", "");
    SheetFlow flow(canvas, context);
    flow.table({{"name", 200.0}}, std::vector<TableRow>(before, TableRow{{"x"}}));
    flow.heading("Together", 30.0);
    flow.table({{"name", 66.0}}, {{{name}}});
    for (std::size_t page = 1; page <= canvas.page_count(); ++page) {
      const std::string number = std::to_string(page);
      const auto text =
          test::print_of("pdftotext", "-f " + number + " -l " + number, canvas.bytes());
      if (!text) GTEST_SKIP() << "pdftotext is not installed";
      EXPECT_EQ(text->find("Together") == std::string::npos,
                text->find("xxxxxx") == std::string::npos)
          << before << " rows, page " << page;
    }
  }
}

TEST(SheetFlow, AHeadingDoesNotStandAloneAtTheFoot) {
  const Inspection inspection = test::passing_inspection(8.0);
  const SheetContext context(inspection);
  PdfCanvas canvas("t", "");
  SheetFlow flow(canvas, context);
  flow.table({{"name", 200.0}}, std::vector<TableRow>(55, TableRow{{"x"}}));
  ASSERT_EQ(canvas.page_count(), 1U);
  flow.heading("Together", 60.0);
  flow.paragraph("words");
  EXPECT_EQ(canvas.page_count(), 2U);
}

TEST(SheetFlow, AHeadingStaysWithItsFirstFactHoweverLong) {
  const Inspection inspection = test::passing_inspection(8.0);
  const SheetContext context(inspection);
  std::string words;
  for (int i = 0; i < 90; ++i)
    words += "word" + std::to_string(i) + " ";
  // At some of these heights the heading alone would have had room.
  for (std::size_t rows = 50; rows < 58; ++rows) {
    PdfCanvas canvas("t", "");
    SheetFlow flow(canvas, context);
    flow.table({{"name", 200.0}}, std::vector<TableRow>(rows, TableRow{{"x"}}));
    flow.heading("Together", 20.0);
    flow.facts({{"fact", words}});
    for (std::size_t page = 1; page <= canvas.page_count(); ++page) {
      const std::string number = std::to_string(page);
      const auto text =
          test::print_of("pdftotext", "-f " + number + " -l " + number, canvas.bytes());
      if (!text) GTEST_SKIP() << "pdftotext is not installed";
      EXPECT_EQ(text->find("Together") == std::string::npos,
                text->find("word0 ") == std::string::npos)
          << rows << " rows, page " << page;
    }
  }
}

/// Pages that so many rows take, written by `fit`.
std::size_t pages_of(int rows) {
  const Inspection inspection = test::passing_inspection(8.0);
  const SheetContext context(inspection);
  PdfCanvas canvas("t", "");
  SheetFlow flow(canvas, context);
  int written = 0;
  flow.fit([&](SheetWriter& writer) {
    writer.table({{"name", 200.0}}, std::vector<TableRow>(rows, TableRow{{"row"}}));
    ++written;
  });
  EXPECT_GE(written, 2) << "once to see how it comes out, once to draw";
  return canvas.page_count();
}

TEST(SheetFlow, LeavesNoPageNearlyEmptyThatCloserLinesSpare) {
  int full = 1;
  while (pages_of(full + 1) == 1)
    ++full;
  const Inspection inspection = test::passing_inspection(8.0);
  const SheetContext context(inspection);
  PdfCanvas canvas("t", "");
  SheetFlow usual(canvas, context);
  usual.table({{"name", 200.0}}, std::vector<TableRow>(full, TableRow{{"row"}}));
  EXPECT_EQ(canvas.page_count(), 2U) << "at the usual distance they run over";
  EXPECT_EQ(pages_of(full + 1), 2U) << "no closer than they can be read";
}

TEST(SheetFlow, LongFactsWrapAndAreAllThere) {
  const Inspection inspection = test::passing_inspection(8.0);
  const SheetContext context(inspection);
  PdfCanvas canvas("t", "");
  SheetFlow flow(canvas, context);
  std::string words;
  for (int i = 0; i < 60; ++i)
    words += "word" + std::to_string(i) + " ";
  flow.facts({{"name", words}});
  const auto text = test::print_of("pdftotext", "", canvas.bytes());
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_NE(text->find("word59"), std::string::npos) << *text;
}

}  // namespace
}  // namespace trammel
