#include "trammel/base/time_left.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

TimeLeft four_stages() {
  return TimeLeft({{"reading", 1.0}, {"aligning", 2.0}, {"comparing", 4.0}, {"writing", 3.0}});
}

/// The first of them over, after so many seconds.
TimeLeft read_in(double seconds) {
  TimeLeft left = four_stages();
  left.begin("reading", 0.0);
  left.begin("aligning", seconds);
  return left;
}

TEST(TimeLeft, GuessesNothingBeforeAStageIsOver) {
  TimeLeft left = four_stages();
  left.begin("reading a.ply", 100.0);
  EXPECT_FALSE(left.at(105.0).has_value());
  EXPECT_FALSE(TimeLeft({}).at(1.0).has_value());
}

/// A run that takes its usual shares: 10 s in all, each second a tenth.
TEST(TimeLeft, IsRightForARunThatTakesItsUsualShares) {
  TimeLeft left = four_stages();
  left.begin("reading a.ply", 100.0);
  left.begin("aligning 5 points", 101.0);
  for (double now = 101.0; now < 103.0; now += 0.25) {
    EXPECT_NEAR(left.at(now)->done, 0.1 * (now - 100.0), 1e-12);
    EXPECT_NEAR(left.at(now)->left_s, 110.0 - now, 1e-9);
  }
  left.begin("comparing", 103.0);
  left.begin("writing", 107.0);
  EXPECT_NEAR(left.at(108.0)->left_s, 2.0, 1e-9);
}

TEST(TimeLeft, LearnsFromWhatTookLonger) {
  const TimeLeft left = read_in(3.0);  // three times as long as in a run of 10 s
  EXPECT_NEAR(left.at(3.0)->left_s, 27.0, 1e-9);
}

TEST(TimeLeft, WaitsWhereAStageShouldHaveEnded) {
  TimeLeft left = read_in(1.0);
  EXPECT_NEAR(left.at(3.0)->done, 0.3, 1e-12);
  EXPECT_NEAR(left.at(30.0)->done, 0.3, 1e-12);
  EXPECT_NEAR(left.at(30.0)->left_s, 70.0, 1e-9);
  left.begin("comparing", 30.0);
  EXPECT_NEAR(left.at(30.0)->done, 0.3, 1e-12);
}

TEST(TimeLeft, OtherStagesCountForNothingAndRepeatedOnesOnce) {
  TimeLeft left = four_stages();
  left.begin("reading", 0.0);
  left.begin("proving 5 readings", 1.0);
  EXPECT_NEAR(left.at(2.0)->done, 0.1, 1e-12);
  left.begin("reading", 2.0);
  left.begin("aligning", 3.0);
  EXPECT_NEAR(left.at(3.0)->done, 0.1, 1e-12);
}

}  // namespace
}  // namespace trammel
