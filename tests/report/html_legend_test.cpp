#include <gtest/gtest.h>

#include <regex>

#include "report/sample_inspection.hpp"
#include "trammel/report/html_parts.hpp"

namespace trammel {
namespace {

TEST(HtmlLegend, StripStepsAtMultiplesOfTheBand) {
  const Inspection inspection = test::failing_inspection(4.0);
  const std::string html = legend_html(SheetContext(inspection));
  const std::size_t start = html.find("<g id=\"strip\">");
  ASSERT_NE(start, html.npos);
  const std::string strip = html.substr(start, html.find("</g>", start) - start);
  const std::regex at("x=\"([0-9.]+)\"");
  std::vector<double> starts;
  for (std::sregex_iterator i(strip.begin(), strip.end(), at), end; i != end; ++i)
    starts.push_back(std::stod((*i)[1]));
  // ±3 bands on 1000 units: a step begins at 500 ± 1000/6 · (1, 1.5, 2).
  const std::vector<double> wanted = {0.0, 166.67, 250.0, 333.33, 666.67, 750.0, 833.33};
  ASSERT_EQ(starts.size(), wanted.size()) << strip;
  for (std::size_t i = 0; i < wanted.size(); ++i)
    EXPECT_NEAR(starts[i], wanted[i], 0.005 + 1e-9);
}

TEST(HtmlLegend, HasVeilsOfUSlidersAndShares) {
  const Inspection inspection = test::failing_inspection(4.0);
  const std::string html = legend_html(SheetContext(inspection));
  // U = 0.05 mm on 3 mm: 2 · 0.05 / 3 · 1000 = 33.33 wide.
  EXPECT_NE(html.find("width=\"33.33\" height=\"104.00\" class=\"veil\""), html.npos) << html;
  EXPECT_NE(html.find("id=\"band-over\""), html.npos);
  EXPECT_NE(html.find("inside \u00b10.50 mm: "), html.npos) << html;
}

}  // namespace
}  // namespace trammel
