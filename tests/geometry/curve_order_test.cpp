#include "trammel/geometry/curve_order.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <limits>
#include <numeric>
#include <set>

#include "trammel/base/random.hpp"

namespace trammel {
namespace {

Eigen::Matrix3Xd random_points(Eigen::Index count) {
  Rng rng(4);
  Eigen::Matrix3Xd points(3, count);
  for (Eigen::Index i = 0; i < count; ++i)
    for (int k = 0; k < 3; ++k)
      points(k, i) = rng.uniform(-50.0, 50.0);
  return points;
}

TEST(CurveOrder, NumbersEveryPointOnce) {
  std::vector<std::uint32_t> order = curve_order(random_points(5000)).order;
  std::sort(order.begin(), order.end());
  std::vector<std::uint32_t> all(5000);
  std::iota(all.begin(), all.end(), 0U);
  EXPECT_EQ(order, all);
}

TEST(CurveOrder, VisitsTheCornersOfACubeAsTheZOrderCurveDoes) {
  // By definition x is the lowest digit, then y, then z: corner k of the cube comes k-th.
  Eigen::Matrix3Xd corners(3, 8);
  for (int k = 0; k < 8; ++k)
    corners.col(7 - k) << (k & 1), (k >> 1 & 1), (k >> 2 & 1);
  EXPECT_EQ(curve_order(corners).order, (std::vector<std::uint32_t>{7, 6, 5, 4, 3, 2, 1, 0}));
}

TEST(CurveOrder, NeighboursInTheListAreNearInSpace) {
  const Eigen::Matrix3Xd points = random_points(20000);
  const auto order = curve_order(points).order;
  double random_step = 0.0, curve_step = 0.0;
  for (Eigen::Index i = 1; i < points.cols(); ++i) {
    const auto at = static_cast<std::size_t>(i);
    random_step += (points.col(i) - points.col(i - 1)).norm();
    curve_step += (points.col(order[at]) - points.col(order[at - 1])).norm();
  }
  EXPECT_LT(curve_step, 0.1 * random_step);
}

TEST(CurveOrder, PointsThatAreNotFiniteComeLastAndOnePlaceIsNoTrouble) {
  Eigen::Matrix3Xd points = Eigen::Matrix3Xd::Constant(3, 4, 2.0);
  points(1, 0) = std::numeric_limits<double>::quiet_NaN();
  points(2, 2) = std::numeric_limits<double>::infinity();
  EXPECT_EQ(curve_order(points).order, (std::vector<std::uint32_t>{1, 3, 0, 2}));
  EXPECT_TRUE(curve_order(Eigen::Matrix3Xd(3, 0)).order.empty());
}

/// Which cell of the grid a point is in.
Eigen::Vector3i cell_of(const Eigen::Vector3d& p, const Eigen::Vector3d& low, double cell_mm) {
  return ((p - low) / cell_mm).array().floor().cast<int>();
}

/// Every run is one cell, and no cell has two runs: for keys of 30 bits and for longer ones.
TEST(CurveOrder, ComesCellByCell) {
  const Eigen::Matrix3Xd points = random_points(20000);
  const Eigen::Vector3d low = points.rowwise().minCoeff();
  for (const double cell_mm : {7.0, 0.9, 0.013}) {
    const CurveOrder curve = curve_order(points, cell_mm);
    std::set<std::array<int, 3>> seen;
    for (std::size_t c = 0; c < curve.cell_start.size(); ++c) {
      const std::size_t end =
          c + 1 < curve.cell_start.size() ? curve.cell_start[c + 1] : curve.order.size();
      const Eigen::Vector3i cell =
          cell_of(points.col(curve.order[curve.cell_start[c]]), low, cell_mm);
      EXPECT_TRUE(seen.insert({cell[0], cell[1], cell[2]}).second);
      for (std::size_t i = curve.cell_start[c]; i < end; ++i)
        EXPECT_EQ(cell_of(points.col(curve.order[i]), low, cell_mm), cell);
    }
  }
}

}  // namespace
}  // namespace trammel
