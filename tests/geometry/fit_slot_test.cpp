#include "trammel/geometry/fit_slot.hpp"

#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <cmath>

#include "support/slots.hpp"

namespace trammel {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;
using Eigen::VectorXd;
using test::OrientedPoints;
using test::slot_wall_of;
using test::SlotWall;

SlotShape near_start() {
  return {{0.5, -0.4, 1.0}, Vector3d::UnitZ(), Vector3d::UnitX(), 5.0, 3.5};
}

SlotFit fitted(const OrientedPoints& wall, AxisChoice choice = AxisChoice::Held) {
  const auto fit =
      fit_slot(wall.points_mm, VectorXd::Ones(wall.points_mm.cols()), near_start(), choice);
  EXPECT_TRUE(fit);
  return fit.value_or(SlotFit{});
}

TEST(FitSlot, DistanceIsThatFromTheNearestOfHalfCirclesAndFlats) {
  const SlotShape slot{{1, 2, 3}, Vector3d::UnitZ(), Vector3d::UnitY(), 6.0, 4.0};
  EXPECT_DOUBLE_EQ(slot.width_mm(), 8.0);
  EXPECT_DOUBLE_EQ(slot.length_mm(), 20.0);
  EXPECT_NEAR(distance_to(slot, {1, 2, 9}), -4.0, 1e-12);
  EXPECT_NEAR(distance_to(slot, {6, 7, 0}), 1.0, 1e-12);              // beside a flat
  EXPECT_NEAR(distance_to(slot, {1, 12.5, 0}), 0.5, 1e-12);           // beyond an end
  EXPECT_NEAR(distance_to(slot, {1 + 3, 2 - 6 - 4, 0}), 1.0, 1e-12);  // 3, 4, 5 about the end
}

TEST(FitSlot, IsExactOnAnExactWallHeldAndFree) {
  SlotWall shape;
  shape.center_mm = {0.3, -0.2};
  shape.turn_rad = 0.1;
  const OrientedPoints wall = slot_wall_of(shape, 400, Rng(1));
  for (const AxisChoice choice : {AxisChoice::Held, AxisChoice::Free}) {
    const SlotFit fit = fitted(wall, choice);
    EXPECT_LT((fit.slot.center_mm.head<2>() - shape.center_mm).norm(), 1e-9);
    EXPECT_NEAR(fit.slot.radius_mm, 4.0, 1e-9);
    EXPECT_NEAR(fit.slot.half_straight_mm, 6.0, 1e-9);
    EXPECT_NEAR(std::atan2(fit.slot.along.y(), fit.slot.along.x()), 0.1, 1e-10);
    EXPECT_LT(fit.rms_mm, 1e-9);
  }
}

TEST(FitSlot, FindsALeaningAxis) {
  SlotWall shape;
  shape.height_mm = 20.0;
  OrientedPoints wall = slot_wall_of(shape, 600, Rng(2));
  const Eigen::AngleAxisd lean(0.03, Vector3d(1, 2, 0).normalized());
  wall.points_mm = (lean.toRotationMatrix() * wall.points_mm).eval();
  const SlotFit fit = fitted(wall, AxisChoice::Free);
  EXPECT_LT((fit.slot.axis - lean * Vector3d::UnitZ()).norm(), 1e-9);
  EXPECT_NEAR(fit.slot.width_mm(), 8.0, 1e-9);
}

/// Of 5 unknowns, each in its stated standard error: means of squares over many rounds.
TEST(FitSlot, StatesItsErrorsHonestly) {
  constexpr int kRounds = 200;
  Eigen::Matrix<double, 5, 1> squares = Eigen::Matrix<double, 5, 1>::Zero();
  double whole = 0.0, width = 0.0, length = 0.0, end = 0.0;
  for (unsigned round = 0; round < kRounds; ++round) {
    SlotWall shape;
    shape.noise_mm = 0.03;
    const SlotFit fit = fitted(slot_wall_of(shape, 150, Rng(round + 10)));
    Eigen::Matrix<double, 5, 1> off;
    off << fit.slot.center_mm.x(), fit.slot.center_mm.y(), fit.slot.radius_mm - 4.0,
        fit.slot.half_straight_mm - 6.0, fit.slot.along.y();
    squares += off.cwiseAbs2().cwiseQuotient(fit.covariance.diagonal());
    whole += off.dot(fit.covariance.inverse() * off);
    const SlotErrors errors = slot_errors(fit.covariance, fit.slot.half_straight_mm);
    width += std::pow((fit.slot.width_mm() - 8.0) / errors.width_mm, 2);
    length += std::pow((fit.slot.length_mm() - 20.0) / errors.length_mm, 2);
    end += std::pow((off[1] + 6.0 * off[4]) / errors.end_mm, 2);
  }
  // A mean of 200 squares of unit normals has a standard deviation of √(2/200) = 0.1: four of it.
  for (int k = 0; k < 5; ++k)
    EXPECT_NEAR(squares[k] / kRounds, 1.0, 0.4) << "unknown " << k;
  EXPECT_NEAR(whole / kRounds, 5.0, 4.0 * std::sqrt(2.0 * 5.0 / kRounds));
  EXPECT_NEAR(width / kRounds, 1.0, 0.4);
  EXPECT_NEAR(length / kRounds, 1.0, 0.4);
  EXPECT_LT(end / kRounds, 1.4);  // stated for the worse of the two directions
  EXPECT_GT(end / kRounds, 0.1);
}

/// The same by a search that knows neither derivatives nor the code above: coordinates shifted by
/// ever smaller steps while the sum of squares falls.
TEST(FitSlot, AgreesWithABruteForceSearch) {
  SlotWall shape;
  shape.noise_mm = 0.05;
  shape.center_mm = {0.2, 0.1};
  shape.turn_rad = -0.05;
  const OrientedPoints wall = slot_wall_of(shape, 80, Rng(77));
  const auto cost = [&](const std::array<double, 5>& x) {
    double sum = 0.0;
    const Vector2d from = Vector2d(x[0], x[1]) - x[3] * Vector2d(std::cos(x[4]), std::sin(x[4]));
    const Vector2d to = Vector2d(x[0], x[1]) + x[3] * Vector2d(std::cos(x[4]), std::sin(x[4]));
    for (Eigen::Index i = 0; i < wall.points_mm.cols(); ++i) {
      const Vector2d p = wall.points_mm.col(i).head<2>();
      const double share =
          std::clamp((p - from).dot(to - from) / (to - from).squaredNorm(), 0., 1.);
      sum += std::pow((p - from - share * (to - from)).norm() - x[2], 2);
    }
    return sum;
  };
  std::array<double, 5> best{0.0, 0.0, 3.8, 5.8, 0.0};
  double least = cost(best);
  for (double step = 0.1; step > 1e-9;) {
    bool fell = false;
    for (std::size_t i = 0; i < 5; ++i) {
      for (std::size_t k = 0; k < 5; ++k) {  // along each unknown and each pair: they are entangled
        for (const double si : {-step, step}) {
          for (const double sk : {-step, 0.0, step}) {
            std::array<double, 5> next = best;
            next[i] += si;
            if (k != i) next[k] += sk;
            const double value = cost(next);
            if (value >= least) continue;
            least = value;
            best = next;
            fell = true;
          }
        }
      }
    }
    if (!fell) step *= 0.5;
  }
  const SlotFit fit = fitted(wall);
  EXPECT_NEAR(fit.slot.center_mm.x(), best[0], 1e-6);
  EXPECT_NEAR(fit.slot.center_mm.y(), best[1], 1e-6);
  EXPECT_NEAR(fit.slot.radius_mm, best[2], 1e-6);
  EXPECT_NEAR(fit.slot.half_straight_mm, best[3], 1e-6);
  EXPECT_NEAR(std::atan2(fit.slot.along.y(), fit.slot.along.x()), best[4], 1e-6);
}

TEST(FitSlot, IsNothingWhereThePointsLeaveItFree) {
  SlotWall shape;
  OrientedPoints wall = slot_wall_of(shape, 400, Rng(3));
  VectorXd weights = VectorXd::Ones(400);
  for (Eigen::Index i = 0; i < 400; ++i)  // one end and half of the flats alone
    if (wall.points_mm(0, i) > 2.0) weights[i] = 0.0;
  EXPECT_FALSE(fit_slot(wall.points_mm, weights, near_start(), AxisChoice::Held));
  EXPECT_FALSE(
      fit_slot(wall.points_mm.leftCols(4), VectorXd::Ones(4), near_start(), AxisChoice::Held));
}

}  // namespace
}  // namespace trammel
