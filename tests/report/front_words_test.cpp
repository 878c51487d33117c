#include "trammel/report/front_words.hpp"

#include <gtest/gtest.h>

#include "report/sample_inspection.hpp"

namespace trammel {
namespace {

TEST(FrontWords, AFailShowsThreeFindingsAndCountsTheRest) {
  const Inspection inspection = test::failing_inspection(5.0);
  const SheetContext context(inspection);
  const FrontColumn column = left_column(context);
  EXPECT_EQ(column.heading, "What is wrong");
  ASSERT_EQ(column.entries.size(), 3U);
  EXPECT_EQ(column.entries[0].balloon, "B");
  EXPECT_NE(column.entries[2].detail.find(". And 1 more in the tables."), std::string::npos);
}

TEST(FrontWords, ActionsAreNumberedAndSplitAtTheirColon) {
  const Inspection inspection = test::failing_inspection(5.0);
  const SheetContext context(inspection);
  const FrontColumn column = right_column(context);
  EXPECT_EQ(column.heading, "What to do");
  EXPECT_EQ(column.entries[0].title, "1. Bend the upright back");
  EXPECT_EQ(column.entries[0].detail, "1.2 mm at its top edge brings all of 1 inside.");
}

TEST(FrontWords, AReasonHasATitleThatBeginsWithACapital) {
  Inspection inspection = test::undecided_inspection(5.0);
  inspection.verdict.reasons = {
      "only 85 % of what lies near the design lies on it, and that pulls the part to and fro by "
      "±0.24 mm: its good part cannot be told from its bent one"};
  const SheetContext context(inspection);
  const FrontEntry entry = left_column(context).entries[0];
  EXPECT_EQ(entry.title.rfind("Only 85 %", 0), 0U) << entry.title;
  EXPECT_EQ(entry.detail, "its good part cannot be told from its bent one");
}

TEST(FrontWords, AReasonAboutAHoleWithItsOwnLineIsNotSaidTwice) {
  const Inspection inspection = test::undecided_inspection(5.0);
  const SheetContext context(inspection);
  const FrontColumn column = left_column(context);
  EXPECT_EQ(column.heading, "What is in doubt");
  ASSERT_EQ(column.entries.size(), 2U);
  EXPECT_EQ(column.entries[0].title, "Too little was seen");
  EXPECT_EQ(column.entries[1].balloon, "B");
}

TEST(FrontWords, APinIsCalledSoAndNotSaidTwiceEither) {
  Inspection inspection = test::undecided_inspection(5.0);
  inspection.verdict.holes[1].kind = RoundKind::Pin;
  inspection.verdict.reasons.back() = "Pin B: its wall was seen by 3 points, 12 are needed";
  const SheetContext context(inspection);
  const FrontColumn column = left_column(context);
  ASSERT_EQ(column.entries.size(), 2U);
  EXPECT_EQ(column.entries[1].balloon, "B");
  EXPECT_EQ(column.entries[1].title.rfind("Pin B", 0), 0U) << column.entries[1].title;
}

TEST(FrontWords, APassSaysHowNearItCame) {
  const Inspection inspection = test::passing_inspection(5.0);
  const SheetContext context(inspection);
  const FrontColumn column = right_column(context);
  ASSERT_EQ(column.entries.size(), 3U);
  EXPECT_EQ(column.entries[0].title.rfind("Nearest: +0.2", 0), 0U) << column.entries[0].title;
  EXPECT_EQ(column.entries[1].title, "Tightest hole: B.");
}

TEST(FrontWords, DoubtfulAlignmentIsSaid) {
  Inspection inspection;
  Alignment& alignment = inspection.alignment;
  EXPECT_EQ(alignment_words(inspection), "no pose could be verified");
  alignment.found = alignment.converged = alignment.ambiguous = true;
  alignment.rms_mm = 0.03;
  alignment.others.resize(1);
  EXPECT_EQ(alignment_words(inspection), "0.030 mm rms, two poses fit");
  inspection.verdict.in_poses.resize(2);
  EXPECT_EQ(alignment_words(inspection), "0.030 mm rms, two poses fit, judged in each");
}

TEST(FrontWords, ADistanceHasALineWithoutABalloonAndIsNotSaidTwice) {
  Inspection inspection = test::undecided_inspection(5.0);
  inspection.verdict.distances = {test::sample_distance({}, Outcome::Undecided)};
  inspection.verdict.reasons = {"Distance pitch: hole B: its wall was not seen"};
  const SheetContext context(inspection);
  const FrontColumn column = left_column(context);
  ASSERT_EQ(column.entries.size(), 2U);
  EXPECT_EQ(column.entries[0].balloon, "B");
  EXPECT_EQ(column.entries[1].title, "Distance pitch could not be measured.");
  EXPECT_EQ(column.entries[1].balloon, "");
  EXPECT_EQ(column.entries[1].mark, "");
}

TEST(FrontWords, AFormHasALineWithoutABalloonAndIsNotSaidTwice) {
  Inspection inspection = test::undecided_inspection(5.0);
  inspection.verdict.forms = {
      test::sample_form(FormKind::Perpendicularity, {}, Outcome::Undecided)};
  inspection.verdict.reasons = {"Perpendicularity seat: the face: only 0 % of it was seen"};
  const FrontColumn column = left_column(SheetContext(inspection));
  ASSERT_EQ(column.entries.size(), 2U);
  EXPECT_EQ(column.entries[1].title, "Perpendicularity seat could not be measured.");
  EXPECT_EQ(column.entries[1].balloon, "");
  EXPECT_EQ(column.entries[1].mark, "");
}

TEST(FrontWords, APassSaysWhichFormsWereChecked) {
  Inspection inspection = test::passing_inspection(5.0);
  inspection.verdict.forms = {test::sample_form(FormKind::Flatness, 0.1, Outcome::Pass)};
  const FrontColumn column = left_column(SheetContext(inspection));
  EXPECT_NE(column.entries.at(1).detail.find("Flatness seat."), std::string::npos);
}

TEST(FrontWords, APassSaysWhichDistancesWereChecked) {
  Inspection inspection = test::passing_inspection(5.0);
  inspection.verdict.distances = {test::sample_distance(36.1, Outcome::Pass)};
  {
    const SheetContext context(inspection);
    const FrontColumn column = left_column(context);
    ASSERT_EQ(column.entries.size(), 3U);
    EXPECT_NE(column.entries[1].detail.find("Distance pitch."), std::string::npos);
  }
  inspection.verdict.holes.clear();
  const SheetContext context(inspection);
  EXPECT_EQ(left_column(context).entries[1].title, "Distance pitch.");
}

}  // namespace
}  // namespace trammel
