#include "trammel/judge/hole_advice.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

/// A hole of 6.6 mm within 0.4 mm and 6.5 to 6.85 mm, that fails.
class HoleAdvice : public ::testing::Test {
 protected:
  HoleAdvice() {
    hole.name = check.name = "f1";
    hole.nominal_diameter_mm = 6.6;
    hole.state = HoleState::Measured;
    hole.outcome = Outcome::Fail;
    check.position_mm = 0.4;
    check.diameter_mm = Limits{6.5, 6.85};
    lies(0.05, 6.6);
  }
  void lies(double off_mm, double diameter_mm) {
    hole.offset_mm = Eigen::Vector3d(0, off_mm, 0);
    hole.position_mm = 2.0 * off_mm;
    hole.diameter_mm = hole.free_width_mm = diameter_mm;
  }
  std::vector<std::string> lines(const HoleOpening* opening = nullptr) const {
    return hole_advice(hole, &check, opening);
  }

  HoleResult hole;
  HoleCheck check;
};

using Lines = std::vector<std::string>;

TEST_F(HoleAdvice, OfSizeAloneMovesNothing) {
  lies(0.19, 7.4);
  EXPECT_EQ(lines(),
            Lines{"Hole f1 must become at least 0.55 mm narrower: bush it, or fill it and drill it "
                  "anew, or agree on wider limits"});
  lies(0.19, 6.2);
  EXPECT_EQ(lines(),
            Lines{"Hole f1 must become at least 0.30 mm wider: drill or file it open, or agree on "
                  "wider limits"});
}

TEST_F(HoleAdvice, OfPlaceDoesNotOpenItBeyondItsLimits) {
  lies(0.5, 6.6);  // would be opened to 7.6
  EXPECT_EQ(lines(), Lines{"Hole f1 sits 0.50 mm towards +Y: move it"});
  check.diameter_mm->high_mm = 8.0;
  EXPECT_EQ(lines(),
            Lines{"Hole f1 sits 0.50 mm towards +Y: move it, or, where play is allowed, open it to "
                  "7.6 mm so that it clears its place"});
}

TEST_F(HoleAdvice, OfBothHasALineForEach) {
  lies(0.5, 6.2);
  EXPECT_EQ(lines().size(), 2U);
}

TEST_F(HoleAdvice, OfABoltThatDoesNotGoIn) {
  check = {};
  check.bolt_mm = 8.0;
  EXPECT_EQ(lines(),
            Lines{"Hole f1 lacks 1.40 mm for its bolt of 8 mm: open it to more than 8.0 mm"});
  const HoleOpening opening{"f1", 8.3, 1.7, Eigen::Vector3d::UnitX()};
  EXPECT_TRUE(lines(&opening).empty()) << "the bolts' own line says so";
}

TEST_F(HoleAdvice, WhatTheBoltsAskForSaysWhenTheLimitsForbidIt) {
  lies(0.5, 6.6);
  const HoleOpening opening{"f1", 7.3, 0.7, -Eigen::Vector3d::UnitY()};
  EXPECT_EQ(lines(&opening),
            Lines{"Hole f1 sits 0.50 mm towards +Y: move it, open it to 7.3 mm, or make it 0.7 mm "
                  "longer towards "
                  "−Y (its limits of size allow 6.85 mm), so that all bolts go through"});
}

TEST_F(HoleAdvice, OfAPinTurnsSizesRound) {
  hole.kind = check.kind = RoundKind::Pin;
  lies(0.05, 7.0);
  ASSERT_EQ(lines().size(), 1U);
  EXPECT_NE(lines()[0].find("Pin f1 must become at least 0.15 mm thinner"), std::string::npos)
      << lines()[0];
}

// "sits 0.00 mm towards +Y: move it, open it to 8.1 mm, or make it longer towards nowhere".
TEST_F(HoleAdvice, OfALeanIsToDrillItStraight) {
  lies(0.01, 6.6);
  hole.depth_mm = 6.0;
  hole.tilt_mm = 1.058;
  hole.position_mm = 1.06;
  EXPECT_EQ(lines(),
            Lines{"Hole f1 leans 10.0°, 1.06 mm from end to end: drill it anew, straight"});
  check.diameter_mm->high_mm = 8.0;
  EXPECT_NE(lines().front().find("open it to 7.7 mm"), std::string::npos) << lines().front();
  const HoleOpening opening{"f1", 7.4, 0.2, Eigen::Vector3d::Zero()};
  EXPECT_NE(lines(&opening).front().find("open it to 7.4 mm, so that"), std::string::npos);
  EXPECT_EQ(lines(&opening).front().find("nowhere"), std::string::npos);
}

}  // namespace
}  // namespace trammel
