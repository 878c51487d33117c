#include "trammel/report/paper_regions.hpp"

#include <gtest/gtest.h>

#include "report/pdf_tools.hpp"
#include "report/sample_inspection.hpp"
#include "trammel/report/html_writer.hpp"
#include "trammel/report/sheet_pages.hpp"
#include "trammel/report/sheet_writer.hpp"

namespace trammel {
namespace {

Verdict with_regions(std::size_t failing, std::size_t undecided) {
  Verdict verdict;
  for (std::size_t i = 0; i < failing + undecided; ++i) {
    Region region;
    region.id = static_cast<int>(i) + 1;
    region.outcome = i < failing ? Outcome::Fail : Outcome::Undecided;
    region.peak_mm = i < failing ? -1.4 : 0.5;
    region.area_mm2 = 0.5;
    region.limit_mm = 0.5;
    verdict.regions.push_back(region);
  }
  return verdict;
}

TEST(PaperRegions, AllThatFailStandThereAndTheWorstOfTheOthers) {
  EXPECT_EQ(regions_on_paper(with_regions(2, 31)).size(), 12U);
  EXPECT_EQ(regions_on_paper(with_regions(20, 31)).size(), 24U);
  EXPECT_EQ(regions_on_paper(with_regions(2, 12)).size(), 14U);  // two lines more spare a sentence
  EXPECT_EQ(regions_on_paper(with_regions(0, 0)).size(), 0U);
  Verdict late = with_regions(0, 40);
  late.regions.back().outcome = Outcome::Fail;
  EXPECT_EQ(regions_on_paper(late).back(), 39U);
}

TEST(PaperRegions, TheRestIsToldInOneSentence) {
  EXPECT_EQ(rest_of_regions(with_regions(2, 31), 2),
            "And 21 more undecided places, 11 mm² in all, off by 0.50 mm at most: regions.csv has "
            "them, sheet.html shows them.");
  EXPECT_EQ(rest_of_regions(with_regions(2, 3), 2), "");
  EXPECT_EQ(rest_of_regions(with_regions(99, 0), 2).rfind("And 39 more places, ", 0), 0U);
}

TEST(PaperRegions, TheHeadingDoesNotSayOutsideOfWhatMayBeInside) {
  EXPECT_EQ(regions_heading(with_regions(2, 0)), "Places outside the band");
  EXPECT_EQ(regions_heading(with_regions(2, 1)),
            "Places outside the band, or too near its limit to tell");
}

// The demo's shrunk housing: 33 specks of 0.4 mm² took a page and a fifth one nearly empty.
TEST(PaperRegions, SpecksTakeNoPageOfPaperButStandInThePage) {
  Inspection inspection = test::failing_inspection(4.0);
  const Region like = inspection.verdict.regions.front();
  for (int i = 0; i < 40; ++i) {
    Region speck = like;
    speck.id = static_cast<int>(inspection.verdict.regions.size()) + 1;
    speck.outcome = Outcome::Undecided;
    speck.area_mm2 = 0.4;
    inspection.verdict.regions.push_back(speck);
  }
  const SheetContext context(inspection);
  HtmlWriter page;
  write_tables(page, context);
  EXPECT_NE(page.html().find("data-mark=\"region-43\""), std::string::npos);
  const auto text = test::print_of("pdftotext", "-layout", draw_sheet(context).pdf);
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_NE(text->find("more undecided places"), std::string::npos) << *text;
  const auto info = test::print_of("pdfinfo", "", draw_sheet(context).pdf);
  ASSERT_TRUE(info);
  const std::size_t pages = info->find("Pages:");
  EXPECT_LE(std::stoi(info->substr(pages + 6)), 4) << *info;
}

}  // namespace
}  // namespace trammel
