#include "trammel/geometry/chosen_by_place.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <set>
#include <vector>

#include "support/shapes.hpp"
#include "support/shuffled_order.hpp"
#include "trammel/base/random.hpp"
#include "trammel/geometry/sample_surface.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Matrix3Xd;

Matrix3Xd many_points() {
  return sample_surface(test::box({0, 0, 0}, {200, 100, 5}), 200000, Rng(2)).points_mm;
}

/// As they come in their own frame: no face along the axes, where all of its points would stand at
/// the border of a step.
Matrix3Xd slanted(const Matrix3Xd& points) {
  return Rng(6).rotation().toRotationMatrix() * points;
}

/// A binomial number of points: ±5 of its standard deviations.
TEST(ChosenByPlace, TakesAboutAsManyAsAsked) {
  const Matrix3Xd points = many_points();
  for (const Index count : {2000, 20000, 100000}) {
    const double chosen = static_cast<double>(chosen_by_place(points, count).size());
    const double share = static_cast<double>(count) / static_cast<double>(points.cols());
    const double sigma = std::sqrt(static_cast<double>(count) * (1.0 - share));
    EXPECT_NEAR(chosen, static_cast<double>(count), 5.0 * sigma);
  }
}

TEST(ChosenByPlace, TakesTheSameOnesInAnyOrderAndAfterRounding) {
  const Matrix3Xd points = slanted(many_points());
  const std::vector<Index> order = test::shuffled_order(points.cols());
  const Matrix3Xd shuffled =
      points(Eigen::all, order) + Matrix3Xd::Constant(3, points.cols(), 1e-13);
  const std::vector<Index> first = chosen_by_place(points, 20000);
  std::set<Index> again;
  for (const Index i : chosen_by_place(shuffled, 20000))
    again.insert(order[static_cast<std::size_t>(i)]);
  EXPECT_EQ(std::set<Index>(first.begin(), first.end()), again);
}

TEST(ChosenByPlace, SpreadsThemEvenly) {
  const Matrix3Xd points = many_points();
  const std::vector<Index> chosen = chosen_by_place(points, 20000);
  const auto left =
      std::count_if(chosen.begin(), chosen.end(), [&](Index i) { return points(0, i) < 100.0; });
  EXPECT_NEAR(static_cast<double>(left) / static_cast<double>(chosen.size()), 0.5, 0.02);
}

TEST(ChosenByPlace, StraysAndBrokenPointsDoNotSpoilTheChoice) {
  Matrix3Xd points = many_points();
  for (Index i = 0; i < points.cols(); i += 500)
    points.col(i) << 1e200, -9e150, static_cast<double>(i);
  points(1, 7) = std::numeric_limits<double>::quiet_NaN();
  const std::vector<Index> chosen = chosen_by_place(points, 20000);
  EXPECT_GT(chosen.size(), 18000U);
  EXPECT_LT(chosen.size(), 22000U);
  EXPECT_TRUE(std::is_sorted(chosen.begin(), chosen.end()));
  for (const Index i : chosen)
    EXPECT_TRUE(points.col(i).allFinite());
}

TEST(ChosenByPlace, TakesEveryNthWherePlacesTellNothing) {
  EXPECT_EQ(chosen_by_place(Matrix3Xd::Constant(3, 1000, 4.0), 100).size(), 100U);
  EXPECT_EQ(chosen_by_place(Matrix3Xd::Zero(3, 1000), 100).size(), 100U);
  EXPECT_EQ(chosen_by_place(Matrix3Xd::Zero(3, 50), 100).size(), 50U);
  EXPECT_TRUE(chosen_by_place(Matrix3Xd(3, 0), 100).empty());
  EXPECT_TRUE(chosen_by_place(Matrix3Xd::Constant(3, 1000, HUGE_VAL), 100).empty());
}

}  // namespace
}  // namespace trammel
