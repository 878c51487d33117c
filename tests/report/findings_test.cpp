#include "trammel/report/findings.hpp"

#include <gtest/gtest.h>

#include "report/sample_inspection.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

TEST(Findings, ComeWorstFirstAndLeaveGoodHolesOut) {
  const auto found = findings(test::failing_inspection(4.0));
  ASSERT_EQ(found.size(), 4U);
  // Hole B uses 2.4 of 0.5 mm (4.8 times), the upright 1.2 of 0.5 (2.4), the dent 0.8 of 0.5 (1.6).
  EXPECT_EQ(found[0].label, "B");
  EXPECT_EQ(found[3].label, "3");
  for (std::size_t i = 1; i < found.size(); ++i)
    EXPECT_GE(found[i - 1].severity, found[i].severity);
}

TEST(Findings, AHoleOffPlaceSaysHowFarAndWhichWay) {
  const auto found = findings(test::failing_inspection(4.0));
  EXPECT_EQ(found[0].title, "Hole B sits 1.2 mm towards +Y.");
  EXPECT_EQ(found[0].detail, "Position 2.40 against 0.50; size 8.42 (8.20 to 8.80).");
}

TEST(Findings, AHoleOfWrongSizeSaysSo) {
  Inspection inspection = test::passing_inspection(6.0);
  inspection.verdict.holes[0].diameter_mm = 8.05;
  inspection.verdict.holes[0].outcome = Outcome::Fail;
  EXPECT_EQ(findings(inspection).front().title, "Hole A is too small: 8.05 mm.");
}

TEST(Findings, AHoleThatWasNotMadeComesFirstAndItsWallLast) {
  Inspection inspection = test::failing_inspection(4.0);
  HoleResult& hole = inspection.verdict.holes[0];
  hole.state = HoleState::Closed;
  hole.outcome = Outcome::Fail;
  hole.offset_mm.reset();
  hole.reasons = {"a scanned surface lies across it"};
  inspection.verdict.regions[0].of_feature = true;
  const auto found = findings(inspection);
  EXPECT_EQ(found.front().title, "Hole A is missing.");
  EXPECT_EQ(found.front().detail, "A scanned surface lies across it.");
  EXPECT_EQ(found.back().label, "1");
}

/// The sheet's two sides and the edge that a notch goes through are three places of one piece.
TEST(Findings, WhatALargerPlaceTellsOfComesLastAndDoesNotCount) {
  Inspection inspection = test::failing_inspection(4.0);
  auto& regions = inspection.verdict.regions;
  ASSERT_GE(regions.size(), 3U);
  for (const std::size_t other : {0U, 1U})
    regions[other].told_with = regions[2].id;
  regions[2].outcome = Outcome::Fail;
  auto found = findings(inspection);
  ASSERT_EQ(found.size(), 4U);
  EXPECT_EQ(found[1].label, "3");  // after hole B
  EXPECT_EQ(verdict_sentence(inspection).rfind("One place stands outside", 0), 0U)
      << verdict_sentence(inspection);
  regions[2].outcome = Outcome::Undecided;  // a doubt took it back: then each speaks for itself
  found = findings(inspection);
  EXPECT_EQ(found[1].label, "1");
  EXPECT_EQ(verdict_sentence(inspection).rfind("Two places stand outside", 0), 0U)
      << verdict_sentence(inspection);
}

TEST(Findings, AHoleThatWasNotMeasuredGivesItsReason) {
  const auto found = findings(test::undecided_inspection(6.0));
  ASSERT_EQ(found.size(), 1U);
  EXPECT_EQ(found[0].title, "Hole B could not be measured.");
  EXPECT_EQ(found[0].detail, "Its wall was seen by 3 points, 12 are needed.");
}

TEST(Findings, ListedRegionsComeAfterEverythingJudged) {
  Inspection inspection = test::failing_inspection(4.0);
  inspection.verdict.regions[0].outcome = Outcome::Listed;
  EXPECT_EQ(findings(inspection).back().label, "1");
  EXPECT_NE(findings(inspection).back().detail.find("too small to be judged"), std::string::npos);
}

TEST(Findings, TheNearestReadingIsTheOneThatUsesMostOfItsLimit) {
  Inspection inspection = test::passing_inspection(6.0);
  inspection.plan.band = {0.5, 0.2};
  inspection.surface.readings.deviation_mm.setConstant(0.3);  // 60 % of 0.5
  inspection.surface.readings.deviation_mm[5] = -0.18;        // 90 % of 0.2
  const NearestReading nearest = nearest_to_limit(inspection);
  ASSERT_TRUE(nearest.found);
  EXPECT_DOUBLE_EQ(nearest.deviation_mm, -0.18);
  EXPECT_DOUBLE_EQ(nearest.limit_mm, 0.2);
}

TEST(Findings, ADistanceOutOfItsLimitsIsOne) {
  Inspection inspection = test::passing_inspection(6.0);
  inspection.verdict.distances = {test::sample_distance(36.1, Outcome::Pass),
                                  test::sample_distance(36.56, Outcome::Fail),
                                  test::sample_distance({}, Outcome::Undecided)};
  const auto found = findings(inspection);
  ASSERT_EQ(found.size(), 2U);
  EXPECT_EQ(found[0].title, "Distance pitch is too long: 36.56 mm.");
  EXPECT_EQ(found[0].detail, "36.56 mm against 36.06 (35.86 to 36.26, ISO 2768-m).");
  EXPECT_NEAR(found[0].severity, 2.5, 1e-9);  // 0.5 of 0.2 mm
  EXPECT_EQ(mark_of(found[0]), "");
  EXPECT_EQ(found[1].title, "Distance pitch could not be measured.");
  EXPECT_EQ(found[1].detail, "Hole B: its wall was not seen.");
}

}  // namespace
}  // namespace trammel
