#include "trammel/report/form_words.hpp"

#include <gtest/gtest.h>

#include "report/sample_inspection.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

TEST(FormWords, GiveFiguresWithTheirUnits) {
  EXPECT_EQ(form_figures(test::sample_form(FormKind::Flatness, 0.31, Outcome::Fail)),
            "0.31 mm, allowed up to 0.20 mm (ISO 2768-K).");
  EXPECT_EQ(form_figures(test::sample_form(FormKind::Angle, 90.7 * kDegree, Outcome::Fail)),
            "90.70\u00b0, allowed 89.50\u00b0 to 90.50\u00b0.");
  EXPECT_EQ(form_measured(test::sample_form(FormKind::Thickness, 2.6, Outcome::Fail)),
            "2.60 mm to 2.70 mm");
  EXPECT_EQ(form_figures(test::sample_form(FormKind::Flatness, {}, Outcome::Undecided)),
            "Not measured.");
}

TEST(FormWords, SayWhichWayItIsOff) {
  const auto title = [](FormKind kind, std::optional<double> actual, Outcome outcome) {
    return form_finding(test::sample_form(kind, actual, outcome), 0).title;
  };
  EXPECT_EQ(title(FormKind::Flatness, 0.31, Outcome::Fail),
            "Flatness seat is out of its zone: 0.31 mm.");
  EXPECT_EQ(title(FormKind::Angle, 89.0 * kDegree, Outcome::Fail),
            "Angle seat is too narrow: 89.00\u00b0.");
  EXPECT_EQ(title(FormKind::Thickness, 2.6, Outcome::Fail), "Thickness seat is too thin: 2.60 mm.");
  EXPECT_EQ(title(FormKind::Thickness, 3.4, Outcome::Fail),
            "Thickness seat is too thick: 3.40 mm.");
  EXPECT_EQ(title(FormKind::Angle, {}, Outcome::Undecided), "Angle seat could not be measured.");
}

TEST(FormWords, FindingsComeByHowFarTheyAreOut) {
  Inspection inspection = test::passing_inspection(6.0);
  inspection.verdict.holes.clear();
  inspection.verdict.forms = {test::sample_form(FormKind::Flatness, 0.1, Outcome::Pass),
                              test::sample_form(FormKind::Thickness, 2.5, Outcome::Fail),
                              test::sample_form(FormKind::Flatness, 0.6, Outcome::Fail)};
  const auto found = findings(inspection);
  ASSERT_EQ(found.size(), 2U);
  EXPECT_EQ(found[0].index, 2U);
  EXPECT_NEAR(found[0].severity, 3.0, 1e-12);
  EXPECT_NEAR(found[1].severity, 0.5 / 0.3, 1e-12);
  EXPECT_EQ(mark_of(found[0]), "");
  EXPECT_FALSE(has_place(found[0]));
}

TEST(FormWords, StandInTheSentenceOfTheVerdict) {
  Inspection inspection = test::passing_inspection(6.0);
  inspection.verdict.forms = {test::sample_form(FormKind::Flatness, 0.1, Outcome::Pass),
                              test::sample_form(FormKind::Angle, 90.0 * kDegree, Outcome::Pass)};
  EXPECT_NE(verdict_sentence(inspection).find(", and so are flatness seat and angle seat"),
            std::string::npos)
      << verdict_sentence(inspection);
  inspection.verdict.outcome = Outcome::Fail;
  inspection.verdict.forms = {test::sample_form(FormKind::Angle, 91.0 * kDegree, Outcome::Fail)};
  EXPECT_EQ(verdict_sentence(inspection), "Angle seat is too wide.");
}

}  // namespace
}  // namespace trammel
