#include "trammel/report/words.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "report/sample_inspection.hpp"

namespace trammel {
namespace {

TEST(Words, LengthsHaveOneDigitMoreThanTheBandButNoMoreThanUAllows) {
  EXPECT_EQ(length_decimals({0.5, 0.5}, 0.05), 2);
  EXPECT_EQ(length_decimals({0.5, 0.5}, 0.2), 1);
  EXPECT_EQ(length_decimals({0.25, 0.5}, 0.004), 3);
  EXPECT_EQ(length_decimals({0.25, 0.5}, 0.05), 2);
  EXPECT_EQ(length_decimals({1.0, 1.0}, 0.0), 1);
}

TEST(Words, ABandIsSaidOnceWhenBothSidesAreEqual) {
  EXPECT_EQ(band_words({0.5, 0.5}, 2), "±0.50 mm");
  EXPECT_EQ(band_words({0.5, 0.3}, 2), "+0.50 / −0.30 mm");
  EXPECT_EQ(band_words({0.125, 0.125}, 1), "±0.125 mm");
}

TEST(Words, DirectionsNameTheAxesThatMatter) {
  EXPECT_EQ(axes_words({0, 3, 0}), "+Y");
  EXPECT_EQ(axes_words({1, -1, 1}), "+X −Y +Z");
  EXPECT_EQ(axes_words({0.1, 0, -1}), "−Z");
  EXPECT_EQ(axes_words({0, 0, 0}), "");
}

TEST(Words, APlaceIsItsFacingAndTheEndItIsNear) {
  const Box part{{0, 0, 0}, {90, 60, 55}};
  EXPECT_EQ(place_words({3, 30, 50}, {1, 0, 0}, part), "facing +X, near the +Z end");
  EXPECT_EQ(place_words({45, 30, 0}, {0, 0, -1}, part), "facing −Z");
}

TEST(Words, ASharePrintsAsWholeOnlyWhenItIs) {
  EXPECT_EQ(percent_words(1.0), "100 %");
  EXPECT_EQ(percent_words(0.9996), "99.96 %");
  EXPECT_EQ(percent_words(0.999999), "over 99.99 %");
  EXPECT_EQ(percent_words(0.932), "93 %");
  EXPECT_EQ(percent_words(0.0004), "0.04 %");
  EXPECT_EQ(percent_words(0.0), "0 %");
  EXPECT_EQ(percent_words(1e-9), "under 0.01 %");
}

TEST(Words, DatesAndListsReadAsAPersonWouldWriteThem) {
  EXPECT_EQ(date_words("2026-11-25"), "25 Nov 2026");
  EXPECT_EQ(date_words("soon"), "soon");
  EXPECT_EQ(list_words({"A"}, 3), "A");
  EXPECT_EQ(list_words({"A", "B", "C"}, 3), "A, B and C");
  EXPECT_EQ(list_words({"A", "B", "C", "D", "E"}, 3), "A, B, C and 2 more");
}

TEST(Words, WhoCheckedAndTheScannerAreToldAsFarAsThePlanSays) {
  Plan plan;
  EXPECT_EQ(maker_words(plan), "");
  plan.checked_by = "A\x1b[1m";
  EXPECT_EQ(maker_words(plan).find('\x1b'), std::string::npos);
  plan.checked_by = "A";
  EXPECT_EQ(maker_words(plan), "checked by A");
  plan.scanner = "B";
  EXPECT_EQ(maker_words(plan), "scanned with B, checked by A");
}

TEST(Words, TheSentenceOfAFailSaysHowManyPlacesAndWhichHole) {
  EXPECT_EQ(verdict_sentence(test::failing_inspection(6.0)),
            "Three places stand outside ±0.50 mm and hole B is 1.2 mm off place.");
}

TEST(Words, TheSentenceNamesASizeWhereThatAloneIsWrong) {
  Inspection inspection = test::failing_inspection(6.0);
  std::vector<HoleResult>& holes = inspection.verdict.holes;
  const auto bad = std::find_if(holes.begin(), holes.end(), [](const HoleResult& hole) {
    return hole.outcome == Outcome::Fail;
  });
  ASSERT_NE(bad, holes.end());
  const auto check =
      std::find_if(inspection.plan.holes.begin(), inspection.plan.holes.end(),
                   [&](const HoleCheck& planned) { return planned.name == bad->name; });
  ASSERT_NE(check, inspection.plan.holes.end());
  check->position_mm = 10.0;
  check->diameter_mm = Limits{8.0, 9.0};
  bad->diameter_mm = 7.2;
  EXPECT_NE(verdict_sentence(inspection).find("hole B is 0.8 mm smaller than allowed."),
            std::string::npos)
      << verdict_sentence(inspection);
  bad->diameter_mm = 9.3;
  EXPECT_NE(verdict_sentence(inspection).find("hole B is 0.3 mm larger than allowed."),
            std::string::npos);
  bad->diameter_mm = 8.5;  // a bolt may fail it all the same
  EXPECT_NE(verdict_sentence(inspection).find("hole B is not as planned."), std::string::npos);
}

TEST(Words, TheSentenceOfAnUndecidedIsItsFirstReason) {
  const Inspection inspection = test::undecided_inspection(6.0);
  EXPECT_EQ(verdict_sentence(inspection), inspection.verdict.reasons.front());
}

TEST(Words, APassSaysThatOnlyWhatWasSeenIsProven) {
  EXPECT_EQ(verdict_sentence(test::passing_inspection(6.0)),
            "The surface that was seen is proven to lie inside ±0.50 mm, and both holes are as "
            "planned.");
}

TEST(Words, PinsAreNotCalledHoles) {
  Inspection passing = test::passing_inspection(8.0);
  passing.verdict.holes[1].kind = RoundKind::Pin;
  EXPECT_NE(verdict_sentence(passing).find(", and the hole and the pin are as planned."),
            std::string::npos)
      << verdict_sentence(passing);
  HoleResult a, b, c;
  a.name = "a", b.name = "b", c.name = "c";
  b.kind = RoundKind::Pin;
  EXPECT_EQ(round_names({&a}, 3), "hole a");
  EXPECT_EQ(round_names({&b}, 3), "pin b");
  EXPECT_EQ(round_names({&a, &b, &c}, 3), "holes a and c and pin b");
}

// "Holes Hole for the … and Hole for the …": the sentence was cut before it said what is wrong.
TEST(Words, LongNamesAreCountedAndTheWordIsNotSaidTwice) {
  HoleResult a, b;
  a.name = "Hole 1", b.name = "Hole 2";
  EXPECT_EQ(round_names({&a, &b}, 3), "Hole 1 and Hole 2");
  a.name = "Hole for the bolt of the lower strut, number 4";
  b.name = "Hole for the bolt of the lower strut, number 17";
  EXPECT_EQ(round_names({&a, &b}, 3), "two holes");
}

TEST(Words, AReasonBeginsTheSentenceWithACapital) {
  Inspection inspection = test::undecided_inspection(8.0);
  inspection.verdict.reasons = {"only 85 % of what lies near the design lies on it"};
  EXPECT_EQ(verdict_sentence(inspection), "Only 85 % of what lies near the design lies on it");
}

TEST(Words, APassInEveryPoseOfASymmetricPartSaysSo) {
  Inspection inspection = test::passing_inspection(6.0);
  inspection.verdict.in_poses.resize(6);
  EXPECT_EQ(verdict_sentence(inspection),
            "The surface that was seen is proven to lie inside ±0.50 mm, and both holes are as "
            "planned. It fits in six poses, and passes in each.");
}

TEST(Words, TheSentenceNamesDistances) {
  Inspection inspection = test::failing_inspection(6.0);
  inspection.verdict.distances = {test::sample_distance(35.5, Outcome::Fail)};
  EXPECT_EQ(verdict_sentence(inspection),
            "Three places stand outside ±0.50 mm, hole B is 1.2 mm off place and distance pitch is "
            "too short.");
  inspection = test::passing_inspection(6.0);
  inspection.verdict.distances.assign(3, test::sample_distance(36.1, Outcome::Pass));
  EXPECT_EQ(verdict_sentence(inspection),
            "The surface that was seen is proven to lie inside ±0.50 mm, and both holes are as "
            "planned, and all three distances are within their limits.");
}

}  // namespace
}  // namespace trammel
