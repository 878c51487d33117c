#include "trammel/report/flaw_table.hpp"

#include <gtest/gtest.h>

#include "report/sample_inspection.hpp"

namespace trammel {
namespace {

/// The rows of its one table with "|" after each cell, and the paragraphs below.
class FlawWords : public SheetWriter {
 public:
  void heading(const std::string& words, double) override { headings.push_back(words); }
  void paragraph(const std::string& words) override { paragraphs.push_back(words); }
  void facts(const std::vector<Fact>&) override { ADD_FAILURE() << "a list was not expected"; }
  void table(const std::vector<TableColumn>& columns, const std::vector<TableRow>& all) override {
    for (const TableRow& row : all) {
      EXPECT_EQ(row.size(), columns.size());
      rows.emplace_back();
      for (const TableCell& cell : row)
        rows.back() += cell.words + "|";
    }
  }
  std::vector<std::string> headings, rows, paragraphs;
};

FlawWords table_words(const std::vector<Flaw>& flaws) {
  Inspection inspection = test::failing_inspection(6.0);
  inspection.verdict.flaws = flaws;
  FlawWords words;
  write_flaw_table(words, SheetContext(inspection));
  return words;
}

Flaw twist() {
  Flaw flaw;
  flaw.kind = FlawKind::Twist;
  flaw.of_wall = true;
  flaw.figure_mm = -0.5515;
  flaw.angle_rad = 0.0401;
  flaw.share = 0.884;
  flaw.center_mm = {0.0, 0.0, 55.0};
  flaw.normal = -Eigen::Vector3d::UnitX();
  flaw.words = "The wall is twisted";
  return flaw;
}

Flaw shrink() {
  Flaw flaw;
  flaw.kind = FlawKind::Shrink;
  flaw.figure_mm = -0.9;
  flaw.share = 0.07;
  flaw.scale = {0.99, 0.99, 1.0};
  flaw.words = "The part is too small";
  return flaw;
}

TEST(FlawTable, HasTheFiguresOfWhatPageOneSaysAndNotItsSentences) {
  const FlawWords words = table_words({twist(), shrink()});
  ASSERT_EQ(words.rows.size(), 2U);
  EXPECT_EQ(words.rows[0],
            "1|twist|wall|\u22120.55|2.30\u00b0|X 0.0, Y 0.0, Z 55.0|\u2212X|\u2013|88 %|");
  EXPECT_EQ(words.rows[1],
            "2|shrink|whole part|\u22120.90|\u2013|\u2013|\u2013|0.9900 0.9900 1.0000|7 %|");
  EXPECT_TRUE(words.paragraphs.empty());
}

TEST(FlawTable, SaysInWordsWhatPageOneHasNoRoomFor) {
  const FlawWords words = table_words({twist(), twist(), shrink()});
  ASSERT_EQ(words.paragraphs.size(), 1U);
  EXPECT_EQ(words.paragraphs[0], "3: The part is too small");
}

TEST(FlawTable, OfNoFlawsThereIsNone) {
  const FlawWords words = table_words({});
  EXPECT_TRUE(words.headings.empty());
  EXPECT_TRUE(words.rows.empty());
}

}  // namespace
}  // namespace trammel
