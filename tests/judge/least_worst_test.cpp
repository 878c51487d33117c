#include "trammel/judge/least_worst.hpp"

#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Eigen::Vector2d;

Vector2d middle_of(const std::vector<WantedPlace>& places) {
  Vector2d sum = Vector2d::Zero();
  for (const WantedPlace& place : places)
    sum += place.from_mm;
  return sum / static_cast<double>(places.size());
}

double worst_after(const PlaneMotion& motion, const std::vector<WantedPlace>& places) {
  const Vector2d middle = middle_of(places);
  const Eigen::Rotation2Dd turn(motion.turn_rad);
  double worst = -HUGE_VAL;
  for (const WantedPlace& place : places) {
    const Vector2d moved = turn * (place.from_mm - middle) + middle + motion.shift_mm;
    worst = std::max(worst, place.weight * ((place.to_mm - moved).norm() - place.slack_mm));
  }
  return worst;
}

std::vector<WantedPlace> random_places(Rng& rng, std::size_t count, double off_mm) {
  std::vector<WantedPlace> out;
  for (std::size_t i = 0; i < count; ++i) {
    const Vector2d at(rng.uniform(-60, 60), rng.uniform(-40, 40));
    out.push_back({at, at + off_mm * Vector2d(rng.normal(), rng.normal()), rng.uniform(0.0, 0.5)});
  }
  return out;
}

/// Points that are a pattern moved as a whole come home, whatever the motion.
TEST(LeastWorst, APatternMovedAsAWholeComesHome) {
  Rng rng(1);
  for (int trial = 0; trial < 20; ++trial) {
    auto places = random_places(rng, 4, 0.0);
    const double turn_rad = rng.uniform(-0.09, 0.09);
    const Vector2d shift(rng.uniform(-5, 5), rng.uniform(-5, 5));
    for (WantedPlace& place : places) {
      place.slack_mm = 0.2;
      place.to_mm = Eigen::Rotation2Dd(turn_rad) * place.from_mm + shift;
    }
    const PlaneMotion motion = least_worst_motion(places, 0.1);
    EXPECT_NEAR(motion.turn_rad, turn_rad, 1e-7);
    EXPECT_NEAR(worst_after(motion, places), -0.2, 3e-6);
  }
}

/// Two points whose pitch differs by 2 e are off by e each; three at the corners of an equilateral
/// triangle blown up by e are off by e each: closed forms.
TEST(LeastWorst, WhatDoesNotFitIsShared) {
  const std::vector<WantedPlace> two = {{{0, 0}, {0, 0}}, {{80.6, 0}, {80, 0}}};
  EXPECT_NEAR(worst_after(least_worst_motion(two, 0.1), two), 0.3, 3e-6);
  std::vector<WantedPlace> three;
  for (const double at : {0.0, 2.0943951023931953, 4.1887902047863905}) {
    const Vector2d way(std::cos(at), std::sin(at));
    three.push_back({30.25 * way, 30.0 * way});
  }
  EXPECT_NEAR(worst_after(least_worst_motion(three, 0.1), three), 0.25, 3e-6);
}

/// Brute force: no motion near by and none far off is better.
TEST(LeastWorst, NoMotionTriedAtRandomIsBetter) {
  Rng rng(2);
  for (const std::size_t count : {1U, 2U, 3U, 5U, 9U}) {
    auto places = random_places(rng, count, 0.4);
    places.front().weight = 1000.0;
    const PlaneMotion best = least_worst_motion(places, 0.1);
    const double worst = worst_after(best, places);
    for (int trial = 0; trial < 20000; ++trial) {
      const double far = std::pow(10.0, rng.uniform(-7.0, 0.5));
      PlaneMotion other = best;
      other.shift_mm += far * Vector2d(rng.normal(), rng.normal());
      other.turn_rad = std::clamp(best.turn_rad + 0.02 * far * rng.normal(), -0.1, 0.1);
      EXPECT_GT(worst_after(other, places), worst - 2e-6 * places.front().weight)
          << count << " " << best.turn_rad;
    }
  }
}

TEST(LeastWorst, PointsThatDifferByRoundingHaveOneMotion) {
  Rng rng(3);
  for (const std::size_t count : {2U, 3U, 4U, 6U}) {
    const auto places = random_places(rng, count, 0.1);
    const PlaneMotion motion = least_worst_motion(places, 0.1);
    for (int trial = 0; trial < 20; ++trial) {
      auto rounded = places;
      for (WantedPlace& place : rounded)
        place.from_mm += 1e-11 * Vector2d(rng.normal(), rng.normal());
      const PlaneMotion other = least_worst_motion(rounded, 0.1);
      EXPECT_LT((other.shift_mm - motion.shift_mm).norm(), 1e-7) << count;
      EXPECT_NEAR(other.turn_rad, motion.turn_rad, 1e-8) << count;
    }
  }
}

TEST(LeastWorst, LooksAtNoLargerTurnThanAllowed) {
  std::vector<WantedPlace> places;
  for (const Vector2d& at : {Vector2d(40, 0), Vector2d(-40, 0), Vector2d(0, 30)})
    places.push_back({at, Eigen::Rotation2Dd(0.3) * at});
  EXPECT_NEAR(least_worst_motion(places, 0.1).turn_rad, 0.1, 1e-12);
  for (WantedPlace& place : places)
    place.to_mm = Eigen::Rotation2Dd(-0.3) * place.from_mm;
  EXPECT_NEAR(least_worst_motion(places, 0.1).turn_rad, -0.1, 1e-12);
}

}  // namespace
}  // namespace trammel
