#include "trammel/report/close_ups.hpp"

#include <gtest/gtest.h>

#include <array>
#include <optional>

#include "report/pdf_tools.hpp"
#include "report/sample_inspection.hpp"
#include "trammel/report/report.hpp"

namespace trammel {
namespace {

std::string words_of(const std::string& text) {
  std::string out = text;
  for (char& c : out)
    c = c == '\n' ? ' ' : c;
  return out;
}

std::size_t count_in(const std::string& text, const std::string& what) {
  std::size_t count = 0;
  for (std::size_t at = text.find(what); at != text.npos; at = text.find(what, at + 1))
    ++count;
  return count;
}

TEST(CloseUps, AreOfFailedRegionsAndWhereNoneFailedOfUndecidedOnes) {
  Inspection inspection = test::failing_inspection(5.0);
  auto& regions = inspection.verdict.regions;
  ASSERT_EQ(regions.size(), 3U);
  regions[0].outcome = Outcome::Undecided;
  regions[1].outcome = Outcome::Listed;
  const auto failed = regions_close_up(SheetContext(inspection));
  ASSERT_EQ(failed.size(), 1U);
  EXPECT_EQ(failed[0]->id, regions[2].id);
  regions[2].outcome = Outcome::Listed;
  const auto undecided = regions_close_up(SheetContext(inspection));
  ASSERT_EQ(undecided.size(), 1U);
  EXPECT_EQ(undecided[0]->id, regions[0].id);
}

TEST(CloseUps, ARowARegionWithARulerInThePictureAndInTheSection) {
  const auto pdf =
      test::print_of("pdftotext", "-f 3 -l 3 -layout", sheet_pdf(test::failing_inspection(3.0)));
  if (!pdf) GTEST_SKIP() << "pdftotext is not installed";
  const std::string text = words_of(*pdf);
  EXPECT_NE(text.find("From near, and cut open"), std::string::npos) << text;
  for (const char* id : {"1", "2", "3"}) {
    EXPECT_NE(text.find("Place " + std::string(id) + " from near, from "), std::string::npos) << id;
    EXPECT_NE(text.find("Section through " + std::string(id) + ", misfit \u00d7 "),
              std::string::npos)
        << id;
  }
  EXPECT_GE(count_in(text, "0 mm "), 6U) << text;  // a ruler each, of 10, 20 or 50 mm
}

TEST(CloseUps, OfManyRegionsEightAreShownAndTheRestIsCounted) {
  Inspection inspection = test::failing_inspection(6.0);
  for (int id = 4; id <= 12; ++id) {
    inspection.verdict.regions.push_back(inspection.verdict.regions[0]);
    inspection.verdict.regions.back().id = id;
  }
  EXPECT_EQ(regions_close_up(SheetContext(inspection)).size(), kMostCloseUps);
  const auto pdf = test::print_of("pdftotext", "", sheet_pdf(inspection));
  if (!pdf) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_NE(words_of(*pdf).find("And 4 more places: sheet.html shows"), std::string::npos);
}

TEST(CloseUps, RegionsThatOnePictureShowsAlikeShareItTwoByTwo) {
  Inspection inspection = test::failing_inspection(3.0);
  auto& regions = inspection.verdict.regions;
  for (int id = 4; id <= 6; ++id) {
    regions.push_back(regions[id == 6 ? 1 : 0]);
    regions.back().id = id;
  }
  // The cells know the region by its number: the copies have those of the first.
  auto& of_cell = inspection.surface.region;
  for (Eigen::Index c = 0, n = 0; c < of_cell.size(); ++c) {
    if (of_cell[c] == 1) of_cell[c] = std::array<int, 3>{1, 4, 5}[n++ % 3];
    if (of_cell[c] == 2) of_cell[c] = n++ % 2 == 0 ? 2 : 6;
  }
  const auto pdf = test::print_of("pdftotext", "-f 3 -l 3 -layout", sheet_pdf(inspection));
  if (!pdf) GTEST_SKIP() << "pdftotext is not installed";
  const std::string text = words_of(*pdf);
  for (const char* words : {"Places 1, 4 from near", "Places 2, 6 from near", "Place 5 from near"})
    EXPECT_EQ(count_in(text, words), 1U) << words << " in " << text;
  for (const int id : {1, 2, 3, 4, 5, 6}) {
    EXPECT_EQ(count_in(text, "Section through " + std::to_string(id) + ", misfit"), 1U) << text;
  }
}

TEST(CloseUps, APassHasNone) {
  const auto pdf = test::print_of("pdftotext", "", sheet_pdf(test::passing_inspection(6.0)));
  if (!pdf) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_EQ(pdf->find("From near"), std::string::npos);
}

}  // namespace
}  // namespace trammel
