#include "trammel/align/part_in_scene.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"

namespace trammel {
namespace {

PartEvidence evidence(double seen, double on, double runs_on, double inside = 0.0) {
  return {seen, on, runs_on, inside};
}

TEST(DoubtsOfPlace, AreNoneWhereTheScanLiesOnTheDesignAndEndsWithIt) {
  EXPECT_TRUE(doubts_of_place(evidence(0.35, 0.98, 0.0)).empty());
  EXPECT_EQ(doubts_of_place(evidence(0.2, 0.98, 0.0)).size(), 1U);
  EXPECT_EQ(doubts_of_place(evidence(0.9, 0.75, 0.0)).size(), 1U);
  EXPECT_EQ(doubts_of_place(evidence(0.9, 0.98, 0.05)).size(), 1U);
  EXPECT_EQ(doubts_of_place(evidence(0.9, 0.98, 0.0, 0.03)).size(), 1U);
  EXPECT_EQ(doubts_of_place(PartEvidence{}).size(), 2U);
}

// The elbow of the study on its bench: 0.55, 0.85, 0, 0 in its place; the best of the wrong ones
// 0.44, 0.78, 0.09, 0.006 (prove 3 0 elbow 'bench and clamp').
TEST(DoubtsOfPlace, AllowABenchThatTouchesAPartOfWhichMuchWasSeen) {
  EXPECT_TRUE(doubts_of_place(evidence(0.55, 0.85, 0.0)).empty());
  EXPECT_EQ(doubts_of_place(evidence(0.45, 0.85, 0.0)).size(), 1U);
  EXPECT_EQ(doubts_of_place(evidence(0.55, 0.78, 0.0)).size(), 1U);
  EXPECT_EQ(doubts_of_place(evidence(0.55, 0.85, 0.01)).size(), 1U);
  EXPECT_EQ(doubts_of_place(evidence(0.55, 0.85, 0.0, 0.006)).size(), 1U);
}

TEST(WorthOf, FallsWithAllThatSpeaksAgainstThePart) {
  EXPECT_DOUBLE_EQ(worth_of(evidence(0.6, 1.0, 0.0)), 0.6);
  EXPECT_LT(worth_of(evidence(0.9, 0.9, 0.06)), 0.6);
  EXPECT_EQ(worth_of(evidence(1.0, 0.6, 0.0)), 0.0);
  EXPECT_EQ(worth_of(evidence(1.0, 1.0, 0.3)), 0.0);
}

TEST(AsGoodElsewhere, OverlooksTheSamePlaceAndWhatIsWorthLess) {
  const CoarseDesign coarse(test::bracket(), Rng(1));
  const auto place = [&](double x_mm, double seen) {
    PlaceInScene out;
    out.T_design_scan.translation().x() = x_mm;
    out.evidence = evidence(seen, 1.0, 0.0);
    return out;
  };
  const PlaceInScene held = place(0.0, 0.8);
  EXPECT_EQ(as_good_elsewhere({held, place(10.0, 0.8), place(300.0, 0.6)}, held, coarse), nullptr);
  const std::vector<PlaceInScene> two = {held, place(300.0, 0.7)};
  EXPECT_EQ(as_good_elsewhere(two, held, coarse), &two[1]);
}

}  // namespace
}  // namespace trammel
