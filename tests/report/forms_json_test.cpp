#include "report/forms_json.hpp"

#include <gtest/gtest.h>

#include "report/sample_inspection.hpp"
#include "trammel/report/report.hpp"

namespace trammel {
namespace {

TEST(FormsJson, TellsWhatWasMeasuredAndInWhichUnit) {
  Verdict verdict;
  EXPECT_EQ(forms_json(verdict), nlohmann::ordered_json::array());
  verdict.forms = {test::sample_form(FormKind::Flatness, 0.31, Outcome::Fail),
                   test::sample_form(FormKind::Angle, {}, Outcome::Undecided),
                   test::sample_form(FormKind::Thickness, 2.9, Outcome::Pass)};
  const auto json = forms_json(verdict);
  EXPECT_EQ(json[0]["kind"], "flatness");
  EXPECT_EQ(json[0]["unit"], "mm");
  EXPECT_EQ(json[0]["actual"], 0.31);
  EXPECT_EQ(json[0]["most"], 0.2);
  EXPECT_TRUE(json[0]["least"].is_null());
  EXPECT_EQ(json[0]["class"], "ISO 2768-K");
  EXPECT_EQ(json[0]["verdict"], "fail");
  EXPECT_EQ(json[1]["unit"], "rad");
  EXPECT_TRUE(json[1]["actual"].is_null());
  EXPECT_TRUE(json[1]["uncertainty"].is_null());
  EXPECT_EQ(json[1]["reasons"].size(), 1U);
  EXPECT_EQ(json[2]["lowest"], 2.9);
  EXPECT_EQ(json[2]["highest"], 3.0);
}

TEST(FormsJson, StandsInTheResult) {
  Inspection inspection = test::passing_inspection(6.0);
  inspection.verdict.forms = {test::sample_form(FormKind::Flatness, 0.1, Outcome::Pass)};
  EXPECT_EQ(nlohmann::json::parse(result_json(inspection))["forms"][0]["name"], "seat");
}

}  // namespace
}  // namespace trammel
