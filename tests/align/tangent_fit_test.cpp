#include "trammel/align/tangent_fit.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "trammel/base/random.hpp"

namespace trammel {
namespace {

/// Height and slopes of a plane over places in the unit square: moving it changes every reading.
Eigen::MatrixXd plane_rows(const Eigen::Matrix2Xd& places) {
  Eigen::MatrixXd rows(places.cols(), 3);
  rows.col(0) = places.row(0).transpose();
  rows.col(1) = places.row(1).transpose();
  rows.col(2).setOnes();
  return rows;
}

Eigen::Matrix2Xd grid(int side) {
  Eigen::Matrix2Xd places(2, side * side);
  for (int k = 0; k < side * side; ++k)
    places.col(k) << 2.0 * (k % side) / (side - 1.0) - 1.0, 2.0 * (k / side) / (side - 1.0) - 1.0;
  return places;
}

TEST(TangentFit, RestsOnTheThreeFeetOfATripod) {
  // A flat face with three bumps around its middle: the plane goes through their tops.
  Eigen::VectorXd readings = Eigen::VectorXd::Zero(49);
  readings[0] = 0.3;   // a corner
  readings[6] = 0.1;   // the next
  readings[45] = 0.2;  // the middle of the far side
  const auto fit = touch_from_outside(plane_rows(grid(7)), readings);
  ASSERT_TRUE(fit);
  EXPECT_EQ(fit->touching, (std::vector<int>{0, 6, 45}));
}

TEST(TangentFit, DoesNotRockOnAHighMiddle) {
  // One bump in the middle cannot hold a plate alone: it rests on it level, as the mean gap is the
  // same for every tilt that keeps all readings inside — two more readings must touch.
  Eigen::VectorXd readings = Eigen::VectorXd::Zero(49);
  readings[24] = 0.5;
  const Eigen::MatrixXd rows = plane_rows(grid(7));
  const auto fit = touch_from_outside(rows, readings);
  ASSERT_TRUE(fit);
  const Eigen::VectorXd left = readings + rows * fit->motion;
  EXPECT_NEAR(left.maxCoeff(), 0.0, 1e-12);
  EXPECT_NEAR(left[24], 0.0, 1e-12);
  EXPECT_NEAR(left.mean(), -0.5 * 48.0 / 49.0, 1e-12);
}

TEST(TangentFit, LeavesNothingOutsideAndNoSmallerGapExists) {
  const Eigen::MatrixXd rows = plane_rows(grid(6));
  for (std::uint64_t seed = 0; seed < 20; ++seed) {
    Rng rng(seed);
    Eigen::VectorXd readings(36);
    for (Eigen::Index i = 0; i < 36; ++i)
      readings[i] = 0.1 * rng.normal();
    const auto fit = touch_from_outside(rows, readings);
    ASSERT_TRUE(fit);
    const Eigen::VectorXd left = readings + rows * fit->motion;
    EXPECT_LE(left.maxCoeff(), 1e-9);
    // Other planes that leave nothing outside: any tilt, pushed out as far as it must be.
    for (int k = 0; k < 200; ++k) {
      Eigen::Vector3d other(0.2 * rng.normal(), 0.2 * rng.normal(), 0.0);
      other += Eigen::Vector3d(fit->motion);
      const Eigen::VectorXd tilted = readings + rows * other;
      EXPECT_LE((tilted.array() - tilted.maxCoeff()).mean(), left.mean() + 1e-9);
    }
  }
}

TEST(TangentFit, ShiftsAloneOntoTheHighestReading) {
  Eigen::VectorXd readings(4);
  readings << -0.1, 0.25, 0.2, -3.0;
  const auto fit = touch_from_outside(Eigen::MatrixXd::Constant(4, 1, 1.0), readings);
  ASSERT_TRUE(fit);
  EXPECT_NEAR(fit->motion[0], -0.25, 1e-15);
  EXPECT_EQ(fit->touching, std::vector<int>{1});
}

TEST(TangentFit, SaysSoWhenTheReadingsDoNotHoldIt) {
  Eigen::Matrix2Xd line(2, 5);
  line << 0, 1, 2, 3, 4, 0, 1, 2, 3, 4;
  EXPECT_FALSE(touch_from_outside(plane_rows(line), Eigen::VectorXd::Zero(5)));
  EXPECT_FALSE(touch_from_outside(Eigen::MatrixXd::Ones(1, 2), Eigen::VectorXd::Zero(1)));
}

}  // namespace
}  // namespace trammel
