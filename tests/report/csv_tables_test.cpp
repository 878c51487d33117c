#include "trammel/report/csv_tables.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "report/sample_inspection.hpp"

namespace trammel {
namespace {

/// Cells of each line, by the rules of RFC 4180.
std::vector<std::vector<std::string>> read_csv(const std::string& text) {
  std::vector<std::vector<std::string>> lines(1, std::vector<std::string>(1));
  bool quoted = false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i];
    if (quoted && c == '"' && i + 1 < text.size() && text[i + 1] == '"') {
      lines.back().back() += text[++i];
    } else if (c == '"') {
      quoted = !quoted;
    } else if (!quoted && c == ',') {
      lines.back().emplace_back();
    } else if (!quoted && c == '\r' && i + 2 < text.size()) {
      lines.emplace_back(1);
    } else if (quoted || (c != '\r' && c != '\n')) {
      lines.back().back() += c;
    }
  }
  return lines;
}

TEST(CsvTables, RegionsAreALineEachWithAsManyCellsAsTheHead) {
  const Inspection inspection = test::failing_inspection(4.0);
  const auto lines = read_csv(regions_csv(inspection));
  ASSERT_EQ(lines.size(), 4u);
  for (const auto& line : lines)
    EXPECT_EQ(line.size(), lines[0].size());
  EXPECT_EQ(lines[1][0], "1");
  EXPECT_EQ(lines[1][1], "proud");
  EXPECT_EQ(std::stod(lines[1][2]), inspection.verdict.regions[0].peak_mm);
  EXPECT_EQ(lines[1].back(), "fail");
}

TEST(CsvTables, HolesLeaveEmptyWhatWasNotMeasured) {
  const auto lines = read_csv(holes_csv(test::undecided_inspection(4.0)));
  ASSERT_EQ(lines.size(), 3u);
  const auto column = [&](const std::string& name) {
    return static_cast<std::size_t>(std::find(lines[0].begin(), lines[0].end(), name) -
                                    lines[0].begin());
  };
  for (const auto& line : lines)
    ASSERT_EQ(line.size(), lines[0].size());
  EXPECT_EQ(lines[1][column("position_allowed_mm")], "0.5");
  EXPECT_EQ(lines[2][column("position_mm")], "");
  EXPECT_EQ(lines[2][column("offset_z_mm")], "");
  EXPECT_EQ(lines[2][column("diameter_mm")], "");
  EXPECT_EQ(lines[2][column("reason")], "Its wall was seen by 3 points, 12 are needed.");
}

TEST(CsvTables, TellPinsFromHoles) {
  Inspection inspection = test::failing_inspection(5.0);
  inspection.verdict.holes[1].kind = RoundKind::Pin;
  const auto lines = read_csv(holes_csv(inspection));
  ASSERT_EQ(lines.size(), 3u);
  const auto column = static_cast<std::size_t>(std::find(lines[0].begin(), lines[0].end(), "kind") -
                                               lines[0].begin());
  ASSERT_LT(column, lines[0].size());
  EXPECT_EQ(lines[1].at(column), "hole");
  EXPECT_EQ(lines[2].at(column), "pin");
}

TEST(CsvTables, NoNameIsTakenForAFormula) {
  for (const char* name : {"=1+1", "+A1", "-2", "@SUM(A1)", "  =cmd|' /C calc'!A0"})
    EXPECT_EQ(csv_text(name), "\"'" + std::string(name) + "\"");
  // Control characters, tabs among them, are made visible before anything else.
  EXPECT_EQ(csv_text("\t=1"), "\"\uFFFD=1\"");
  EXPECT_EQ(csv_text("a \"b\", c"), "\"a \"\"b\"\", c\"");
  EXPECT_EQ(csv_text("\uff1d1+1"), "\"'\uff1d1+1\"");  // full-width signs begin a formula too
  EXPECT_EQ(csv_text("M8 left"), "\"M8 left\"");
}

TEST(CsvTables, NastyNamesStayInTheirCell) {
  Inspection inspection = test::failing_inspection(5.0);
  const std::string nasty = "=\"x\",\r\n<script>\U0001F527" + std::string(300, 'w');
  inspection.verdict.holes[0].name = nasty;
  inspection.verdict.regions[0].zone = nasty;
  EXPECT_EQ(read_csv(holes_csv(inspection)).size(), 3u);
  const auto regions = read_csv(regions_csv(inspection));
  ASSERT_EQ(regions.size(), 4u);
  EXPECT_EQ(regions[1][13], "'=\"x\",\uFFFD\uFFFD<script>\U0001F527" + std::string(300, 'w'));
}

TEST(CsvTables, FormsNameTheirUnit) {
  Inspection inspection = test::failing_inspection(8.0);
  EXPECT_EQ(read_csv(forms_csv(inspection)).size(), 1u);
  inspection.verdict.forms = {test::sample_form(FormKind::Angle, 1.5707963267948966, Outcome::Pass),
                              test::sample_form(FormKind::Thickness, {}, Outcome::Undecided)};
  const auto lines = read_csv(forms_csv(inspection));
  ASSERT_EQ(lines.size(), 3u);
  EXPECT_EQ(lines[0].size(), lines[1].size());
  EXPECT_EQ(lines[0].size(), lines[2].size());
  EXPECT_EQ(lines[1][1], "angle");
  EXPECT_EQ(lines[1][2], "degrees");
  EXPECT_NEAR(std::stod(lines[1][7]), 90.0, 1e-12);
  EXPECT_EQ(lines[2][2], "mm");
  EXPECT_EQ(lines[2][7], "");
}

TEST(CsvTables, DistancesLeaveEmptyWhatWasNotMeasured) {
  Inspection inspection = test::passing_inspection(6.0);
  EXPECT_EQ(read_csv(distances_csv(inspection)).size(), 1u);
  inspection.verdict.distances = {test::sample_distance(36.5, Outcome::Fail),
                                  test::sample_distance({}, Outcome::Undecided)};
  const auto lines = read_csv(distances_csv(inspection));
  ASSERT_EQ(lines.size(), 3u);
  for (const auto& line : lines)
    ASSERT_EQ(line.size(), lines[0].size());
  const auto column = [&](const std::string& name) {
    return static_cast<std::size_t>(std::find(lines[0].begin(), lines[0].end(), name) -
                                    lines[0].begin());
  };
  EXPECT_EQ(lines[1][column("actual_mm")], "36.5");
  EXPECT_EQ(lines[1][column("most_mm")], "36.26");
  EXPECT_EQ(lines[1][column("to_y_mm")], "44");
  EXPECT_EQ(lines[1].back(), "fail");
  EXPECT_EQ(lines[2][column("actual_mm")], "");
  EXPECT_EQ(lines[2][column("uncertainty_mm")], "");
  EXPECT_EQ(lines[2][column("reason")], "hole B: its wall was not seen");
}

}  // namespace
}  // namespace trammel
