#include "trammel/report/whole_part_words.hpp"

#include <gtest/gtest.h>

#include "report/sample_inspection.hpp"

namespace trammel {
namespace {

Flaw leaning_wall() {
  Flaw flaw;
  flaw.kind = FlawKind::Lean;
  flaw.share = 0.88;
  flaw.center_mm = {0.0, 30.0, 55.0};
  flaw.normal = -Eigen::Vector3d::UnitX();
  flaw.words = "The wall leans 0.85\u00b0: 0.77 mm towards \u2212X at its end";
  flaw.action = "Bend it back";
  return flaw;
}

BoltUp passing_bolts() {
  BoltUp up;
  up.outcome = Outcome::Pass;
  up.play_mm = 0.312;
  up.uncertainty_mm = 0.08;
  return up;
}

BoltUp lacking_bolts() {
  BoltUp up;
  up.outcome = Outcome::Fail;
  up.play_mm = -0.51;
  up.uncertainty_mm = 0.11;
  up.openings = {{"A", 9.7, 0.7, Eigen::Vector3d::UnitX()},
                 {"B", 9.6, 0.6, -Eigen::Vector3d::UnitX()}};
  return up;
}

TEST(WholePartWords, NothingToTellMakesNoEntries) {
  const Inspection inspection = test::failing_inspection(6.0);
  const SheetContext context(inspection);
  EXPECT_TRUE(flaws_column(context).entries.empty());
  EXPECT_TRUE(bolts_column(context).entries.empty());
  EXPECT_TRUE(opening_entries(context).empty());
}

TEST(WholePartWords, AFlawSaysWhatAndHowMuchOfTheMisfitAndCanBeGoneTo) {
  Inspection inspection = test::failing_inspection(6.0);
  inspection.verdict.flaws = {leaning_wall(), leaning_wall(), leaning_wall()};
  inspection.verdict.flaws[1].words = "The part shrank by 0.50 %";
  const FrontColumn column = flaws_column(SheetContext(inspection));
  ASSERT_EQ(column.entries.size(), 2U);
  EXPECT_EQ(column.entries[0].title, "The wall leans 0.85\u00b0");
  EXPECT_EQ(column.entries[0].detail,
            "0.77 mm towards \u2212X at its end. It explains 88 % of the misfit.");
  EXPECT_EQ(column.entries[0].mark, "flaw-0");
  EXPECT_EQ(column.entries[1].title, "The part shrank by 0.50 %");
  EXPECT_EQ(column.entries[1].detail, "It explains 88 % of the misfit.");
}

TEST(WholePartWords, BoltsThatLackSayWhichHolesToOpen) {
  Inspection inspection = test::failing_inspection(6.0);
  inspection.verdict.bolt_ups = {lacking_bolts()};
  const SheetContext context(inspection);
  const FrontColumn column = bolts_column(context);
  ASSERT_EQ(column.entries.size(), 1U);
  EXPECT_EQ(column.entries[0].outcome, Outcome::Fail);
  EXPECT_EQ(column.entries[0].title, "No, unless hole A is opened to 9.7 mm and hole B to 9.6 mm");
  EXPECT_EQ(column.entries[0].detail,
            "0.51 \u00b1 0.11 mm lack at the tightest, wherever the part is moved. Or slots: A "
            "longer by 0.7 mm towards +X and B longer by 0.6 mm towards \u2212X.");
  const std::vector<FrontEntry> openings = opening_entries(context);
  ASSERT_EQ(openings.size(), 2U);
  EXPECT_EQ(openings[1].mark, "hole-1");
  EXPECT_EQ(openings[1].title, "Open to 9.6 mm");
}

TEST(WholePartWords, BoltsThatGoThroughSayWithWhatPlayAndDoubtSaysWhy) {
  Inspection inspection = test::passing_inspection(6.0);
  BoltUp good = passing_bolts();
  good.shift_mm = {0.1, 0.0, 0.0};
  BoltUp unknown;
  unknown.group = "roof";
  unknown.words = "The bolts of group 'roof' cannot be told of together: hole A was not measured";
  inspection.verdict.bolt_ups = {good, unknown, good};
  const FrontColumn column = bolts_column(SheetContext(inspection));
  ASSERT_EQ(column.entries.size(), 2U);
  EXPECT_EQ(column.entries[0].title, "It cannot be told (roof)");
  EXPECT_EQ(column.entries[0].detail, unknown.words + ".");
  EXPECT_EQ(column.entries[1].title, "Yes, every bolt goes through");
  EXPECT_EQ(column.entries[1].detail,
            "0.31 \u00b1 0.08 mm of play at the tightest, with the part moved 0.10 mm and turned "
            "0.00\u00b0. One more group in the tables.");
}

TEST(WholePartWords, BoltsOfAScannedMateNameItAndNoShiftOfThePart) {
  Inspection inspection = test::passing_inspection(6.0);
  BoltUp good = passing_bolts();
  good.mate = "frame.ply";
  BoltUp bad = lacking_bolts();
  bad.mate = "roof.ply";
  inspection.verdict.bolt_ups = {good, bad};
  const FrontColumn column = bolts_column(SheetContext(inspection));
  ASSERT_EQ(column.entries.size(), 2U);
  EXPECT_EQ(column.entries[0].detail.rfind("0.51 \u00b1 0.11 mm lack at the tightest, wherever the "
                                           "part is moved, the bolts where roof.ply has them. Or",
                                           0),
            0U)
      << column.entries[0].detail;
  EXPECT_EQ(column.entries[1].detail,
            "0.31 \u00b1 0.08 mm of play at the tightest, the bolts where frame.ply has them.");
}

}  // namespace
}  // namespace trammel
