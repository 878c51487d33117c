#include "trammel/report/overview_trend.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <regex>
#include <vector>

#include "report/sample_overview.hpp"

namespace trammel {
namespace {

std::size_t count_in(const std::string& text, const std::string& what) {
  std::size_t count = 0;
  for (std::size_t at = text.find(what); at != text.npos; at = text.find(what, at + 1))
    ++count;
  return count;
}

/// The corners of the line of a name, as (x, y) in the drawing.
std::vector<std::pair<double, double>> corners_of(const std::string& svg, const std::string& name) {
  const std::regex line("class=\"line " + name + "\" d=\"([^\"]*)\"");
  std::smatch found;
  std::vector<std::pair<double, double>> corners;
  if (!std::regex_search(svg, found, line)) return corners;
  const std::string path = found[1];
  const std::regex corner("[ML]([-0-9.]+) ([-0-9.]+)");
  for (std::sregex_iterator at(path.begin(), path.end(), corner), end; at != end; ++at)
    corners.emplace_back(std::stod((*at)[1]), std::stod((*at)[2]));
  return corners;
}

/// Height of a limit line or of the zero line.
double height_of(const std::string& svg, const std::string& name, int which) {
  const std::regex line("class=\"" + name + "\" d=\"M[-0-9.]+ ([-0-9.]+)H");
  std::sregex_iterator at(svg.begin(), svg.end(), line);
  std::advance(at, which);
  return std::stod((*at)[1]);
}

TEST(OverviewTrend, PointsStandAtTheirShareOfTheLimit) {
  const std::string svg = trend_svg(test::sample_overview());
  const double limit = height_of(svg, "limit", 0), zero = height_of(svg, "zero", 0),
               under = height_of(svg, "limit", 1);
  EXPECT_LT(limit, zero);
  EXPECT_LT(zero, under);
  const auto proud = corners_of(svg, "proud"), shy = corners_of(svg, "shy");
  ASSERT_EQ(proud.size(), 3U);
  ASSERT_EQ(shy.size(), 3U);
  // 0.2, 1.25 and 0.45 of 0.5 mm; rounded to a tenth of a point in the drawing.
  EXPECT_NEAR((zero - proud[0].second) / (zero - limit), 0.4, 0.005);
  EXPECT_NEAR((zero - proud[1].second) / (zero - limit), 2.5, 0.005);
  EXPECT_NEAR((zero - proud[2].second) / (zero - limit), 0.9, 0.005);
  EXPECT_NEAR((shy[1].second - zero) / (under - zero), 0.6, 0.005);
  EXPECT_LT(proud[0].first, proud[1].first);
}

TEST(OverviewTrend, AScanWithoutAReadingIsCrossedAndBreaksTheLine) {
  Overview overview = test::sample_overview();
  EXPECT_EQ(count_in(trend_svg(overview), "class=\"cross\""), 2U);  // one unread, one waiting
  overview.entries[1].proud = overview.entries[1].shy = {};
  const std::string svg = trend_svg(overview);
  EXPECT_EQ(count_in(svg, "class=\"cross\""), 3U);
  EXPECT_NE(svg.find("no reading that can be trusted"), std::string::npos);
  const std::regex line("class=\"line proud\" d=\"M[^\"L]*M[^\"L]*\"");
  EXPECT_TRUE(std::regex_search(svg, line)) << svg;
}

TEST(OverviewTrend, WhatLiesFarBeyondIsAnArrowAtTheBorderAndSaysSo) {
  Overview overview = test::sample_overview();
  overview.entries[0].proud = test::reading(40.0, 0.5);
  overview.entries[2].shy = test::reading(-0.1, 0.0);  // nothing is allowed there
  const std::string svg = trend_svg(overview);
  EXPECT_EQ(count_in(svg, "beyond what is drawn"), 2U);
  for (const auto& name : {"proud", "shy"}) {
    for (const auto& [x, y] : corners_of(svg, name)) {
      EXPECT_GE(y, 14.0);
      EXPECT_LE(y, 272.0);
      EXPECT_TRUE(std::isfinite(x));
    }
  }
}

TEST(OverviewTrend, ShapesTellTheVerdictAndHolesAreRings) {
  const std::string svg = trend_svg(test::sample_overview());
  EXPECT_EQ(count_in(svg, "<path class=\"pass\""), 2U);
  EXPECT_EQ(count_in(svg, "<path class=\"fail\""), 2U);
  EXPECT_EQ(count_in(svg, "<path class=\"undecided\""), 2U);
  EXPECT_EQ(count_in(svg, "class=\"ring\""), 1U);
  EXPECT_EQ(count_in(svg, "href=\"#scan-2\""), 3U);
}

TEST(OverviewTrend, OneScanMakesNoTrendAndManyAreNumberedSparsely) {
  Overview overview = test::sample_overview();
  overview.entries.resize(1);
  EXPECT_TRUE(trend_svg(overview).empty());
  overview.entries.assign(300, overview.entries.front());
  EXPECT_LE(count_in(trend_svg(overview), "text-anchor=\"middle\""), 25U);
}

}  // namespace
}  // namespace trammel
