#include "trammel/report/colours.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "report/colour_science.hpp"

namespace trammel {
namespace {

using test::difference;
using test::lab_seen;
using test::Sight;

constexpr Band kBand{0.4, 0.2};

TEST(Colours, StepsBeginAtTheLimitAtOneAndAHalfAndAtTwice) {
  EXPECT_EQ(step_of(0.0, kBand), 0);
  EXPECT_EQ(step_of(0.4, kBand), 0);
  EXPECT_EQ(step_of(0.41, kBand), 1);
  EXPECT_EQ(step_of(0.61, kBand), 2);
  EXPECT_EQ(step_of(0.81, kBand), 3);
  EXPECT_EQ(step_of(50.0, kBand), 3);
}

TEST(Colours, TheShySideHasItsOwnLimit) {
  EXPECT_EQ(step_of(-0.2, kBand), 0);
  EXPECT_EQ(step_of(-0.21, kBand), -1);
  EXPECT_EQ(step_of(-0.31, kBand), -2);
  EXPECT_EQ(step_of(-0.41, kBand), -3);
}

TEST(Colours, WithALimitOfZeroAnythingBeyondIsTheLastStep) {
  EXPECT_EQ(step_of(0.001, Band{0.0, 0.5}), 3);
  EXPECT_EQ(step_of(0.0, Band{0.0, 0.0}), 0);
}

TEST(Colours, AbsenceHasItsOwnColourAndNeverThatOfInside) {
  const Rgb absent = colour_of(std::numeric_limits<double>::quiet_NaN(), kBand);
  EXPECT_TRUE(absent == kNotMeasured);
  EXPECT_FALSE(absent == colour_of_step(0));
}

TEST(Colours, EachStepOutwardIsDarkerSoThatGreyPrintReads) {
  for (const int side : {-1, 1}) {
    for (int step = 1; step <= kLastStep; ++step) {
      const double inner = lab_seen(colour_of_step(side * (step - 1)), Sight::Normal)[0];
      const double outer = lab_seen(colour_of_step(side * step), Sight::Normal)[0];
      // 5 L* is more than twice what is just noticeable side by side (2.3).
      EXPECT_GT(inner - outer, 5.0) << "side " << side << " step " << step;
    }
  }
}

/// Smallest difference between any two of the seven steps.
double least_difference(Sight sight) {
  double least = 1e9;
  for (int a = -kLastStep; a <= kLastStep; ++a) {
    for (int b = a + 1; b <= kLastStep; ++b)
      least = std::min(least, difference(colour_of_step(a), colour_of_step(b), sight));
  }
  return least;
}

TEST(Colours, AnyTwoStepsAreToldApartByEveryKindOfSight) {
  // 2.3 is just noticeable; 10 is told apart at a glance, also across a part.
  for (const Sight sight : {Sight::Normal, Sight::Protan, Sight::Deutan, Sight::Tritan}) {
    EXPECT_GT(least_difference(sight), 10.0) << "sight " << static_cast<int>(sight);
  }
}

TEST(Colours, SimulatedSightKeepsGreyGrey) {
  // The rows of Machado's matrices add up to 1: what has no colour gains none.
  for (const Sight sight : {Sight::Protan, Sight::Deutan, Sight::Tritan}) {
    const Eigen::Vector3d lab = lab_seen({128, 128, 128}, sight);
    EXPECT_NEAR(lab[0], 53.585, 0.01);  // L* of sRGB 128 grey
    EXPECT_NEAR(std::hypot(lab[1], lab[2]), 0.0, 0.02);
  }
}

}  // namespace
}  // namespace trammel
