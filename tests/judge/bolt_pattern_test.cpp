#include "trammel/judge/bolt_pattern.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "trammel/base/constants.hpp"
#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Eigen::Vector2d;

std::vector<BoltedHole> square(double slack_mm) {
  std::vector<BoltedHole> out;
  for (const Vector2d& at : {Vector2d(0, 0), Vector2d(80, 0), Vector2d(80, 50), Vector2d(0, 50)})
    out.push_back({at, at, slack_mm});
  return out;
}

TEST(BoltPattern, APatternInPlaceKeepsAllItsPlay) {
  EXPECT_NEAR(best_play(square(0.2)).play_mm, 0.2, 1e-5);
}

TEST(BoltPattern, AShiftAndTurnOfTheWholeCostNothing) {
  auto pattern = square(0.2);
  const Eigen::Rotation2Dd turn(0.01);
  for (BoltedHole& one : pattern)
    one.hole_mm = turn * one.hole_mm + Vector2d(0.7, -0.4);
  const PatternFit fit = best_play(pattern);
  EXPECT_NEAR(fit.play_mm, 0.2, 1e-5);
  EXPECT_NEAR(fit.turn_rad, -0.01, 1e-6);
}

TEST(BoltPattern, TwoHolesTooFarApartLackHalfTheDifferenceEach) {
  // Pitch 80.6 against 80: the best place has either hole 0.3 mm off.
  const std::vector<BoltedHole> pattern = {{{0, 0}, {0, 0}, 0.25}, {{80.6, 0}, {80, 0}, 0.25}};
  EXPECT_NEAR(best_play(pattern).play_mm, 0.25 - 0.3, 1e-5);
}

TEST(BoltPattern, AScaledSquareIsOffByTheScaleAtItsCorners) {
  auto pattern = square(0.5);
  for (BoltedHole& one : pattern)
    one.hole_mm *= 1.01;
  // By symmetry its middle stays in the middle: 1 % of half the diagonal.
  EXPECT_NEAR(best_play(pattern).play_mm, 0.5 - 0.01 * 0.5 * std::hypot(80, 50), 1e-5);
}

TEST(BoltPattern, NoPlaceTriedAtRandomIsBetter) {
  Rng rng(11);
  for (int round = 0; round < 20; ++round) {
    auto pattern = square(0.3);
    for (BoltedHole& one : pattern) {
      one.hole_mm += Vector2d(rng.uniform(-0.6, 0.6), rng.uniform(-0.6, 0.6));
      one.slack_mm = rng.uniform(0.1, 0.5);
    }
    const PatternFit fit = best_play(pattern);
    Vector2d middle = Vector2d::Zero();
    for (const BoltedHole& one : pattern)
      middle += one.hole_mm / 4.0;
    double best = -1e9;
    for (int attempt = 0; attempt < 20000; ++attempt) {
      // Wide at first, then closer and closer about the answer.
      const double width = attempt < 10000 ? 1.0 : std::pow(0.1, 1 + attempt % 5);
      const Vector2d shift = (attempt < 10000 ? Vector2d(0, 0) : fit.shift_mm) +
                             width * Vector2d(rng.uniform(-1, 1), rng.uniform(-1, 1));
      const Eigen::Rotation2Dd turn((attempt < 10000 ? 0.0 : fit.turn_rad) +
                                    0.02 * width * rng.uniform(-1, 1));
      double play = 1e9;
      for (const BoltedHole& one : pattern) {
        const Vector2d moved = turn * (one.hole_mm - middle) + middle + shift;
        play = std::min(play, one.slack_mm - (moved - one.bolt_mm).norm());
      }
      best = std::max(best, play);
    }
    EXPECT_GE(fit.play_mm, best - 1e-5) << "round " << round;
    EXPECT_LE(fit.play_mm, best + 0.05);  // and the random places come near it
  }
}

TEST(BoltPattern, OneHoleOffIsTheOneToOpen) {
  auto pattern = square(0.25);
  pattern[2].hole_mm += Vector2d(1.5, 0.0);
  const PatternOpenings openings = fewest_openings(pattern, 0.0);
  ASSERT_EQ(openings.holes, std::vector<std::size_t>{2});
  // The other three may give up to their slack of 0.25 each; about 1.5 mm less that is left.
  EXPECT_LT(openings.lacking_mm[0].norm(), 1.5);
  EXPECT_GT(openings.lacking_mm[0].norm(), 0.9);
  EXPECT_LT(openings.lacking_mm[0].x(), 0.0);
  EXPECT_GE(openings.fit.play_mm, -1e-3);
}

TEST(BoltPattern, OneHoleFarOffIsStillTheOnlyOneToOpen) {
  for (const double off : {2.0, 6.0, 15.0}) {
    auto pattern = square(0.25);
    pattern[2].hole_mm += Vector2d(off, 0.0);
    const PatternOpenings openings = fewest_openings(pattern, 0.05);
    EXPECT_EQ(openings.holes, std::vector<std::size_t>{2}) << off;
    // The others keep their play but for a thousandth of what this one lacks.
    EXPECT_GE(openings.fit.play_mm, 0.05 - 1e-3 - 1e-3 * off);
  }
}

TEST(BoltPattern, WhatBoltsUpNeedsNoOpening) {
  EXPECT_TRUE(fewest_openings(square(0.25), 0.1).holes.empty());
}

}  // namespace
}  // namespace trammel
