#include "trammel/judge/decide.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace trammel {
namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
constexpr double kInfinity = std::numeric_limits<double>::infinity();

// Binary fractions, so that limits ± U are exact and the border cases are truly on the border.
TEST(Decide, PassesOnlyWhereConformityIsProven) {
  EXPECT_EQ(decide(0.0, -0.5, 0.5, 0.125), Outcome::Pass);
  EXPECT_EQ(decide(0.375, -0.5, 0.5, 0.125), Outcome::Pass);
  EXPECT_EQ(decide(-0.375, -0.5, 0.5, 0.125), Outcome::Pass);
  EXPECT_EQ(decide(std::nextafter(0.375, 1.0), -0.5, 0.5, 0.125), Outcome::Undecided);
  EXPECT_EQ(decide(std::nextafter(-0.375, -1.0), -0.5, 0.5, 0.125), Outcome::Undecided);
}

TEST(Decide, FailsOnlyWhereNonConformityIsProven) {
  EXPECT_EQ(decide(0.625, -0.5, 0.5, 0.125), Outcome::Undecided);
  EXPECT_EQ(decide(-0.625, -0.5, 0.5, 0.125), Outcome::Undecided);
  EXPECT_EQ(decide(std::nextafter(0.625, 1.0), -0.5, 0.5, 0.125), Outcome::Fail);
  EXPECT_EQ(decide(std::nextafter(-0.625, -1.0), -0.5, 0.5, 0.125), Outcome::Fail);
}

TEST(Decide, CannotPassALimitNarrowerThanTheUncertainty) {
  for (double value = -1.0; value <= 1.0; value += 0.0625) {
    EXPECT_NE(decide(value, -0.25, 0.25, 0.375), Outcome::Pass) << value;
  }
}

TEST(Decide, JudgesOneSidedLimits) {
  EXPECT_EQ(decide_at_most(0.25, 0.5, 0.125), Outcome::Pass);
  EXPECT_EQ(decide_at_most(0.5, 0.5, 0.125), Outcome::Undecided);
  EXPECT_EQ(decide_at_most(0.75, 0.5, 0.125), Outcome::Fail);
  EXPECT_EQ(decide_at_least(0.75, 0.5, 0.125), Outcome::Pass);
  EXPECT_EQ(decide_at_least(0.5, 0.5, 0.125), Outcome::Undecided);
  EXPECT_EQ(decide_at_least(0.25, 0.5, 0.125), Outcome::Fail);
}

TEST(Decide, DecidesNothingFromWhatIsNotANumber) {
  EXPECT_EQ(decide(kNan, -0.5, 0.5, 0.1), Outcome::Undecided);
  EXPECT_EQ(decide(0.0, kNan, 0.5, 0.1), Outcome::Undecided);
  EXPECT_EQ(decide(0.0, -0.5, kNan, 0.1), Outcome::Undecided);
  EXPECT_EQ(decide(0.0, -0.5, 0.5, kNan), Outcome::Undecided);
  EXPECT_EQ(decide(0.0, -0.5, 0.5, -0.1), Outcome::Undecided);
  EXPECT_EQ(decide(0.0, -0.5, 0.5, kInfinity), Outcome::Undecided);
  EXPECT_EQ(decide(kInfinity, -0.5, 0.5, 0.1), Outcome::Undecided);
}

// JCGM 106:2012, 7.4, example: y = 13.6, u = 1.8, limits 12.5 and 16.3; printed as 66 %, 0.6626 by
// the formula to four digits.
TEST(ConformanceProbability, MatchesTheExampleOfJcgm106) {
  EXPECT_NEAR(conformance_probability(13.6, 12.5, 16.3, 1.8), 0.6626, 0.00005);
}

// The formula of JCGM 106:2012 evaluated with 30 digits for limits ±0.50 and u = 0.04.
TEST(ConformanceProbability, MatchesTheNormalDistributionAboutALimit) {
  const double expected[][2] = {{0.42, 0.97725}, {0.45, 0.89435}, {0.47, 0.77337},
                                {0.50, 0.5},     {0.53, 0.22663}, {0.58, 0.02275}};
  for (const auto& [value, probability] : expected) {
    EXPECT_NEAR(conformance_probability(value, -0.5, 0.5, 0.04), probability, 0.000005) << value;
    EXPECT_NEAR(conformance_probability(-value, -0.5, 0.5, 0.04), probability, 0.000005) << value;
  }
}

TEST(ConformanceProbability, IsNinetyFivePerCentAtTheOneSidedGuard) {
  // 1.644854 is the 95 % point of the standard normal distribution.
  EXPECT_NEAR(conformance_probability(0.5 - 1.644854 * 0.04, -0.5, 0.5, 0.04), 0.95, 1e-6);
}

TEST(ConformanceProbability, IsCertainWithoutUncertainty) {
  EXPECT_EQ(conformance_probability(0.5, -0.5, 0.5, 0.0), 1.0);
  EXPECT_EQ(conformance_probability(0.6, -0.5, 0.5, 0.0), 0.0);
}

TEST(ConformanceProbability, KeepsItsDigitsFarOutsideTheLimits) {
  // Φ(−10) = 7.619853024160527e-24 (Abramowitz & Stegun 1964, table 26.2 gives 7.61985e-24).
  EXPECT_NEAR(conformance_probability(1.0, -kInfinity, 0.0, 0.1) / 7.61985302416e-24, 1.0, 1e-9);
  EXPECT_NEAR(conformance_probability(-1.0, 0.0, kInfinity, 0.1) / 7.61985302416e-24, 1.0, 1e-9);
}

}  // namespace
}  // namespace trammel
