#include "trammel/geometry/minimum_zone.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Matrix2Xd;
using Eigen::VectorXd;

Matrix2Xd grid(int along, int up, double pitch) {
  Matrix2Xd place(2, along * up);
  for (int i = 0; i < along * up; ++i)
    place.col(i) << pitch * (i % along), pitch * (i / along);
  return place;
}

/// Least over slopes of the range of what they leave: nested golden sections, for the range is
/// convex in both. Shares nothing with the search by points.
double by_search(const Matrix2Xd& place, const VectorXd& height) {
  const auto range_at = [&](double a, double b) {
    const VectorXd rest = height - a * place.row(0).transpose() - b * place.row(1).transpose();
    return rest.maxCoeff() - rest.minCoeff();
  };
  const auto least = [](double low, double high, const auto& value) {
    constexpr double kGolden = 0.6180339887498949;
    for (int step = 0; step < 60; ++step) {
      const double a = high - kGolden * (high - low), b = low + kGolden * (high - low);
      (value(a) <= value(b) ? high : low) = value(a) <= value(b) ? b : a;
    }
    return value(0.5 * (low + high));
  };
  return least(-1.0, 1.0, [&](double a) {
    return least(-1.0, 1.0, [&](double b) { return range_at(a, b); });
  });
}

// Worked example of the project's REFERENCE.md, 1.9 (computed there): 3 × 3 points, one corner up
// by 0.09; the least-squares plane's range would be 0.075.
TEST(MinimumZone, AgreesWithTheWorkedExample) {
  VectorXd height = VectorXd::Zero(9);
  height[8] = 0.09;
  EXPECT_NEAR(minimum_zone(grid(3, 3, 50.0), height).width_mm, 0.0675, 1e-6);
}

TEST(MinimumZone, OfAPlaneIsNothingWhateverItsSlope) {
  const Matrix2Xd place = grid(12, 7, 4.0);
  const VectorXd height =
      (0.4 + 0.01 * place.row(0).array() - 0.03 * place.row(1).array()).matrix().transpose();
  const MinimumZone zone = minimum_zone(place, height);
  EXPECT_LT(zone.width_mm, 1e-5);  // the places are moved by a millionth of 50 mm, times the slope
  EXPECT_NEAR(zone.slope.y(), -0.03, 1e-4);
}

TEST(MinimumZone, AgreesWithASearchOverSlopes) {
  Rng rng(3);
  for (int round = 0; round < 60; ++round) {
    const int count = 5 + static_cast<int>(rng.index(200));
    const bool in_grid = round % 3 == 0;
    const Matrix2Xd regular = grid(15, (count + 14) / 15, 5.0);
    Matrix2Xd place(2, count);
    VectorXd height(count);
    for (Index i = 0; i < count; ++i) {
      place.col(i) << rng.uniform(0, 70), rng.uniform(0, 40);
      if (in_grid) place.col(i) = regular.col(i);
      height[i] = 0.05 * rng.normal() + 0.0002 * std::pow(place(0, i) - 35.0, 2);
    }
    if (in_grid && count < 20) continue;  // hardly a second row
    const double searched = by_search(place, height);
    EXPECT_NEAR(minimum_zone(place, height).width_mm, searched, 1e-5) << "round " << round;
  }
}

TEST(MinimumZone, HoldsEveryPointAndIsNotWiderThanAnyOtherPlane) {
  Rng rng(9);
  const Matrix2Xd place = grid(20, 20, 3.0);
  VectorXd height(400);
  for (double& h : height)
    h = rng.normal();
  const MinimumZone zone = minimum_zone(place, height);
  const VectorXd rest =
      height - (place.transpose() * zone.slope + VectorXd::Constant(400, zone.offset_mm));
  EXPECT_LE(rest.cwiseAbs().maxCoeff(), 0.5 * zone.width_mm + 1e-3);
  for (int k = 0; k < 4; ++k)
    EXPECT_NEAR(std::abs(rest[zone.touching[k]]), 0.5 * zone.width_mm, 1e-3);
}

TEST(MinimumZone, MovesWithThePart) {
  Rng rng(5);
  Matrix2Xd place(2, 50);
  VectorXd height(50);
  for (Index i = 0; i < 50; ++i) {
    place.col(i) << rng.uniform(0, 70), rng.uniform(0, 40);
    height[i] = rng.normal();
  }
  const double width = minimum_zone(place, height).width_mm;
  Matrix2Xd elsewhere = place;
  elsewhere.colwise() += Eigen::Vector2d(500.0, -300.0);
  EXPECT_NEAR(minimum_zone(elsewhere, height).width_mm, width, 1e-4);
  EXPECT_NEAR(minimum_zone(place.rowwise().reverse(), height.reverse()).width_mm, width, 1e-4);
}

TEST(MinimumZone, OfFewerThanFourPointsIsNothing) {
  EXPECT_EQ(minimum_zone(Matrix2Xd::Zero(2, 3), VectorXd::Ones(3)).width_mm, 0.0);
}

}  // namespace
}  // namespace trammel
