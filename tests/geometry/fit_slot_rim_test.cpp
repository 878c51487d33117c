#include "trammel/geometry/fit_slot_rim.hpp"
#include "support/long_run.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "trammel/base/constants.hpp"
#include "trammel/base/random.hpp"
#include "trammel/geometry/fit_slot.hpp"

namespace trammel {
namespace {

using Eigen::Vector2d;

constexpr double kSlotSmear_mm = 0.03;

FlatSlot expected() {
  FlatSlot out;
  out.radius_mm = 3.3;
  out.half_straight_mm = 5.0;
  return out;
}

FlatSlot truth() {
  FlatSlot out;
  out.center_mm = {0.2, -0.3};
  out.radius_mm = 3.4;
  out.half_straight_mm = 4.8;
  out.turn_rad = 0.03;
  return out;
}

/// Written without the code under test: the nearest place of the middle line by its two ends.
bool is_inside(const FlatSlot& slot, const Vector2d& p) {
  const Vector2d half =
      slot.half_straight_mm * Vector2d(std::cos(slot.turn_rad), std::sin(slot.turn_rad));
  const Vector2d from = slot.center_mm - half, line = 2.0 * half;
  const double share = std::clamp((p - from).dot(line) / line.squaredNorm(), 0.0, 1.0);
  return (p - from - share * line).norm() < slot.radius_mm;
}

/// An even random spread (Poisson, the worst there is) about a slot, smeared.
std::vector<Vector2d> spread_about_slot(const FlatSlot& slot, double density, Rng rng) {
  std::vector<Vector2d> points;
  for (int i = 0; i < static_cast<int>(density * 24.0 * 16.0); ++i) {
    const Vector2d p(rng.uniform(-12, 12), rng.uniform(-8, 8));
    const Vector2d smeared = p + kSlotSmear_mm * Vector2d(rng.normal(), rng.normal());
    if (!is_inside(slot, p)) points.push_back(smeared);
  }
  return points;
}

TEST(FitSlotRim, StatesItsErrorsHonestlyAndIsNotTooWide) {
  for (const double density : test::some_of<double>({1.5, 7.0, 40.0}, 2)) {
    constexpr int kRounds = 40;
    double center = 0.0, width = 0.0, length = 0.0, turn = 0.0, wide_by = 0.0;
    for (unsigned round = 0; round < kRounds; ++round) {
      const FittedSlotRim rim = fit_slot_rim(spread_about_slot(truth(), density, Rng(round + 1)),
                                             kSlotSmear_mm, expected());
      ASSERT_TRUE(rim.is_open) << density << " " << round;
      const SlotErrors errors = slot_errors(rim.covariance, rim.slot.half_straight_mm);
      const Vector2d off = rim.slot.center_mm - truth().center_mm;
      center += 0.5 * (std::pow(off.x(), 2) / rim.covariance(0, 0) +
                       std::pow(off.y(), 2) / rim.covariance(1, 1));
      const double radius_off = rim.slot.radius_mm - truth().radius_mm;
      width += std::pow(2.0 * radius_off / errors.width_mm, 2);
      length += std::pow(2.0 * (radius_off + rim.slot.half_straight_mm - truth().half_straight_mm) /
                             errors.length_mm,
                         2);
      turn += std::pow(rim.slot.turn_rad - truth().turn_rad, 2) / rim.covariance(4, 4);
      wide_by += 2.0 * radius_off;
    }
    // Means of 80 and 40 squares that are expected to be 1 at most: σ = √(2/40) = 0.22, three of
    // it.
    for (const double mean : {center, width, length, turn}) {
      EXPECT_LT(mean / kRounds, 1.7) << density;
      EXPECT_GT(mean / kRounds, 0.1) << density;
    }
    const double gap_mm = 1.0 / (density * 2.0 * 4.8);  // on one flat
    EXPECT_LT(std::abs(wide_by / kRounds), 0.25 * gap_mm + 0.01) << density;
  }
}

TEST(FitSlotRim, FollowsASlotFarOffItsPlaceAndSize) {
  Rng rng(9);
  for (unsigned round = 0; round < 12; ++round) {
    FlatSlot made;
    made.center_mm = {rng.uniform(-1.4, 1.4), rng.uniform(-1.4, 1.4)};
    made.radius_mm = rng.uniform(2.6, 4.0);
    made.half_straight_mm = rng.uniform(3.5, 6.5);
    made.turn_rad = rng.uniform(-0.15, 0.15);
    const FittedSlotRim rim =
        fit_slot_rim(spread_about_slot(made, 12.0, Rng(round + 100)), kSlotSmear_mm, expected());
    ASSERT_TRUE(rim.is_open) << round;
    EXPECT_LT((rim.slot.center_mm - made.center_mm).norm(), 0.1) << round;
    EXPECT_NEAR(rim.slot.radius_mm, made.radius_mm, 0.04) << round;
    EXPECT_NEAR(rim.slot.half_straight_mm, made.half_straight_mm, 0.1) << round;
    EXPECT_NEAR(rim.slot.turn_rad, made.turn_rad, 0.02) << round;
  }
}

TEST(FitSlotRim, AStrayInsideDoesNotPullAndUnseenStretchesDoNotWidenIt) {
  std::vector<Vector2d> points = spread_about_slot(truth(), 7.0, Rng(3));
  points.emplace_back(1.0, 0.5);
  points.emplace_back(-3.0, -1.5);
  const auto unseen = [](const Vector2d& p) { return p.y() > 0.0 && std::abs(p.x()) < 1.7; };
  points.erase(std::remove_if(points.begin(), points.end(), unseen), points.end());
  const FittedSlotRim rim = fit_slot_rim(points, kSlotSmear_mm, expected());
  ASSERT_TRUE(rim.is_open);
  EXPECT_LT(rim.seen_share, 0.95);
  EXPECT_GT(rim.seen_share, 0.4);
  EXPECT_LT((rim.slot.center_mm - truth().center_mm).norm(), 0.1);
  EXPECT_NEAR(rim.slot.radius_mm, truth().radius_mm, 0.04);
}

TEST(FitSlotRim, WithoutASlotThereIsNoneOpen) {
  FlatSlot none;
  none.radius_mm = -1.0;
  EXPECT_FALSE(
      fit_slot_rim(spread_about_slot(none, 7.0, Rng(4)), kSlotSmear_mm, expected()).is_open);
  EXPECT_EQ(fit_slot_rim({}, kSlotSmear_mm, expected()).seen_share, 0.0);
  // A round hole of its width: too short by more than may be.
  FlatSlot round;
  round.radius_mm = 3.3;
  EXPECT_FALSE(
      fit_slot_rim(spread_about_slot(round, 7.0, Rng(5)), kSlotSmear_mm, expected()).is_open);
}

TEST(FitSlotRim, GivesTheSameBitsTwice) {
  const auto points = spread_about_slot(truth(), 7.0, Rng(6));
  EXPECT_EQ(fit_slot_rim(points, kSlotSmear_mm, expected()).slot.center_mm,
            fit_slot_rim(points, kSlotSmear_mm, expected()).slot.center_mm);
}

}  // namespace
}  // namespace trammel
