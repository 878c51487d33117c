#include <gtest/gtest.h>

#include "report/pdf_tools.hpp"
#include "report/sample_changes.hpp"
#include "trammel/report/changes_sheet.hpp"

namespace trammel {
namespace {

TEST(ChangesPdf, SaysTheVerdictTheChangeAndThePose) {
  const std::string pdf = changes_pdf(test::sample_changes());
  EXPECT_EQ(pdf.rfind("%PDF", 0), 0U);
  const auto text = test::print_of("pdftotext", "-layout", pdf);
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  for (const char* words :
       {"Changed", "+0.81 mm at its peak", "What changed", "May it be believed", "M3C2"})
    EXPECT_NE(text->find(words), std::string::npos) << words << *text;
}

TEST(ChangesPdf, IsPrintedOnLetterToo) {
  const auto info =
      test::print_of("pdfinfo", "", changes_pdf(test::sample_changes(), Paper::Letter));
  if (!info) GTEST_SKIP() << "pdfinfo is not installed";
  EXPECT_NE(info->find("612 x 792 pts (letter)"), std::string::npos) << *info;
}

TEST(ChangesPdf, HasTheSameBytesEveryTime) {
  EXPECT_EQ(changes_pdf(test::sample_changes()), changes_pdf(test::sample_changes()));
}

TEST(ChangesPdf, IsMadeOfEveryOutcomeAndOfNoMeasurement) {
  EXPECT_GT(changes_pdf(test::sample_unchanged()).size(), 1000U);
  Changes none = test::sample_undecided();
  none.fit.alignment.found = false;
  none.changes.clear();
  none.new_only = {};
  none.cores.state.assign(400, CoreState::OnlyOld);
  EXPECT_GT(changes_pdf(none).size(), 1000U);
}

}  // namespace
}  // namespace trammel
