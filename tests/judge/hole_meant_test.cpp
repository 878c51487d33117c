#include "trammel/judge/hole_meant.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

using Eigen::Vector3d;

/// Holes of 6 mm through a plate of 3 mm, upwards.
DesignHole drawn_at(double x_mm) {
  DesignHole hole;
  hole.center_mm = {x_mm, 10, 3};
  hole.radius_mm = 3.0;
  hole.low_mm = -3.0;
  hole.high_mm = 0.0;
  return hole;
}

HoleResult measured_at(double x_mm) {
  HoleResult result;
  result.nominal_mm = {x_mm, 10, 3};
  result.nominal_diameter_mm = 6.0;
  result.depth_mm = 3.0;
  result.outcome = Outcome::Pass;
  return result;
}

HoleCheck asked_at(const Vector3d& at_mm, const std::string& name = "a") {
  HoleCheck check;
  check.name = name;
  check.at_mm = at_mm;
  return check;
}

const std::vector<DesignHole> kTwoHoles{drawn_at(10), drawn_at(30)};

TEST(HoleMeant, IsTheOneThatThePointLiesIn) {
  for (const Vector3d& at : {Vector3d(10, 10, 3), Vector3d(12.9, 10, 0), Vector3d(10, 11, 9)})
    EXPECT_FALSE(doubt_of_meaning(asked_at(at), measured_at(10), kTwoHoles));
}

TEST(HoleMeant, IsTheOneThatThePointLiesJustBeside) {
  EXPECT_FALSE(doubt_of_meaning(asked_at({15, 10, 3}), measured_at(10), kTwoHoles));
}

TEST(HoleMeant, IsNotKnownBetweenTwo) {
  const std::vector<DesignHole> close{drawn_at(10), drawn_at(18)};
  const auto doubt = doubt_of_meaning(asked_at({14, 10, 3}), measured_at(10), close);
  ASSERT_TRUE(doubt);
  EXPECT_NE(doubt->find("(18.0, 10.0, 1.5)"), std::string::npos) << *doubt;
}

TEST(HoleMeant, IsNotOneFarFromThePoint) {
  EXPECT_TRUE(doubt_of_meaning(asked_at({20, 10, 3}), measured_at(10), kTwoHoles));
  EXPECT_TRUE(doubt_of_meaning(asked_at({10, 25, 3}), measured_at(10), {drawn_at(10)}));
}

TEST(HoleMeant, APointBesideAHoleThatAnotherCheckTakesIsLeftOpen) {
  std::vector<HoleResult> results{measured_at(10), measured_at(10)};
  doubt_holes_not_meant({asked_at({10, 10, 3}), asked_at({14, 10, 3}, "b")}, kTwoHoles, results);
  EXPECT_EQ(results[0].outcome, Outcome::Pass);
  EXPECT_EQ(results[1].outcome, Outcome::Undecided);
  ASSERT_EQ(results[1].reasons.size(), 1U);
  EXPECT_NE(results[1].reasons[0].find("already hole a"), std::string::npos);
}

TEST(HoleMeant, OneHoleMayBeAskedForTwice) {
  std::vector<HoleResult> results{measured_at(10), measured_at(10)};
  doubt_holes_not_meant({asked_at({10, 10, 3}), asked_at({10, 10.5, 3}, "b")}, kTwoHoles, results);
  EXPECT_EQ(results[1].outcome, Outcome::Pass);
}

TEST(HoleMeant, ThoseOfTwoFlangesOnOneAxisAreTwo) {
  HoleResult lower = measured_at(10);
  lower.nominal_mm.z() = -40.0;
  std::vector<HoleResult> results{measured_at(10), lower};
  doubt_holes_not_meant({asked_at({10, 10, 3}), asked_at({14, 10, -40}, "b")}, {drawn_at(10)},
                        results);
  EXPECT_EQ(results[1].outcome, Outcome::Pass);
}

}  // namespace
}  // namespace trammel
