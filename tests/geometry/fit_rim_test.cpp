#include "trammel/geometry/fit_rim.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "trammel/base/constants.hpp"
#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Eigen::Vector2d;

constexpr double kSmear_mm = 0.03;
const Vector2d kCenter(0.2, -0.3);

/// An even random spread (Poisson, the worst there is) about a hole of radius 3.4, smeared.
std::vector<Vector2d> spread_about(double density, Rng rng) {
  std::vector<Vector2d> points;
  for (int i = 0; i < static_cast<int>(density * 400.0); ++i) {
    const Vector2d p(rng.uniform(-10, 10), rng.uniform(-10, 10));
    const Vector2d smeared = p + kSmear_mm * Vector2d(rng.normal(), rng.normal());
    if ((p - kCenter).norm() >= 3.4) points.push_back(smeared);
  }
  return points;
}

TEST(FitRim, StatesItsErrorsHonestlyAndIsNotTooWide) {
  for (const double density : {1.5, 7.0, 40.0}) {
    double center2 = 0.0, radius2 = 0.0, bias = 0.0;
    constexpr int kRounds = 60;
    for (unsigned round = 0; round < kRounds; ++round) {
      const FittedRim rim = fit_rim(spread_about(density, Rng(round + 1)), kSmear_mm, 3.3);
      ASSERT_TRUE(rim.is_open) << density;
      center2 += 0.5 * (rim.center_mm - kCenter).squaredNorm() / std::pow(rim.center_error_mm, 2);
      radius2 += std::pow((rim.radius_mm - 3.4) / rim.radius_error_mm, 2);
      bias += rim.radius_mm - 3.4;
    }
    // Means of 120 and 60 squares that are expected to be 1 at most: beyond 1.6 lies less than 1 %.
    EXPECT_LT(center2 / kRounds, 1.6) << density;
    EXPECT_GT(center2 / kRounds, 0.1) << density;
    EXPECT_LT(radius2 / kRounds, 1.6) << density;
    EXPECT_GT(radius2 / kRounds, 0.1) << density;
    const double gap_mm = 1.0 / (density * 2.0 * kPi * 3.4);
    EXPECT_LT(std::abs(bias / kRounds), 0.25 * gap_mm + 0.01) << density;
  }
}

TEST(FitRim, ASparseRimIsSeldomTooWideByMoreThanTwiceItsError) {
  int too_wide = 0, far_too_wide = 0;
  constexpr int kRounds = 400;
  for (unsigned round = 0; round < kRounds; ++round) {
    const FittedRim rim = fit_rim(spread_about(1.5, Rng(1000 + round)), kSmear_mm, 3.3);
    ASSERT_TRUE(rim.is_open) << round;
    if (rim.radius_mm - 3.4 > 2.0 * rim.radius_error_mm) ++too_wide;
    if (rim.radius_mm - 3.4 > 3.0 * rim.radius_error_mm) ++far_too_wide;
  }
  // 2.3 % are meant to be; 400 tries of that give more than 18 twice in a thousand times.
  EXPECT_LE(too_wide, 18);
  EXPECT_LE(far_too_wide, 4);
}

TEST(FitRim, UnseenSectorsDoNotWidenIt) {
  std::vector<Vector2d> points = spread_about(7.0, Rng(3));
  const auto unseen = [](const Vector2d& p) { return p.x() > 0.0 && std::abs(p.y()) < p.x(); };
  points.erase(std::remove_if(points.begin(), points.end(), unseen), points.end());
  const FittedRim rim = fit_rim(points, kSmear_mm, 3.3);
  ASSERT_TRUE(rim.is_open);
  EXPECT_LT(rim.seen_share, 0.85);
  EXPECT_GT(rim.seen_share, 0.6);
  EXPECT_LT((rim.center_mm - kCenter).norm(), 0.1);
  EXPECT_NEAR(rim.radius_mm, 3.4, 0.06);
}

TEST(FitRim, AnEvenSpreadWithoutAHoleIsNotOpen) {
  std::vector<Vector2d> points;
  Rng rng(4);
  for (int i = 0; i < 2800; ++i)
    points.emplace_back(rng.uniform(-10, 10), rng.uniform(-10, 10));
  EXPECT_FALSE(fit_rim(points, kSmear_mm, 3.3).is_open);
  EXPECT_EQ(fit_rim({}, kSmear_mm, 3.3).seen_share, 0.0);
}

}  // namespace
}  // namespace trammel
