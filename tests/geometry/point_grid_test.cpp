#include "trammel/geometry/point_grid.hpp"

#include <gtest/gtest.h>

#include <set>

#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Matrix3Xd;
using Eigen::Vector3d;

/// Half of them in a clump, some of them on top of each other, about a centre.
Matrix3Xd strewn(Index count, const Vector3d& center_mm) {
  Rng rng(5);
  Matrix3Xd out(3, count);
  for (Index i = 0; i < count; ++i) {
    const double half_mm = i % 2 == 0 ? 2.0 : 30.0;
    for (int k = 0; k < 3; ++k)
      out(k, i) = center_mm[k] + rng.uniform(-half_mm, half_mm);
    if (i % 10 == 9) out.col(i) = out.col(i - 1);
  }
  return out;
}

std::vector<Index> every_third(Index count) {
  std::vector<Index> out;
  for (Index i = 0; i < count; i += 3)
    out.push_back(i);
  return out;
}

class PointGridOf : public testing::TestWithParam<double> {};

TEST_P(PointGridOf, FindsWhatTryingAllDoes) {
  const double radius_mm = GetParam();
  for (const Vector3d& center_mm : {Vector3d(0, 0, 0), Vector3d(-5000, 4999.5, 1e6)}) {
    const Matrix3Xd points_mm = strewn(600, center_mm), places_mm = strewn(400, center_mm);
    const std::vector<Index> chosen = every_third(600);
    const PointGrid grid(points_mm, chosen, radius_mm);
    for (Index p = 0; p < places_mm.cols(); ++p) {
      const Vector3d place = places_mm.col(p);
      std::multiset<Index> expected, found;
      for (const Index i : chosen)
        if ((points_mm.col(i) - place).norm() <= radius_mm) expected.insert(i);
      grid.for_each_near(place, [&](Index i, const Vector3d& off_mm) {
        found.insert(i);
        EXPECT_EQ(off_mm, points_mm.col(i) - place);
      });
      ASSERT_EQ(found, expected) << place.transpose();
      ASSERT_EQ(grid.any_near(place), !expected.empty());
    }
  }
}

/// From boxes that hold a point at most to one that holds nearly all.
INSTANTIATE_TEST_SUITE_P(Radii, PointGridOf, testing::Values(0.05, 0.7, 4.0, 50.0));

TEST(PointGrid, RadiusItselfIsNear) {
  const Matrix3Xd points_mm = Vector3d(1, 0, 0);
  const PointGrid grid(points_mm, {0}, 0.5);
  EXPECT_TRUE(grid.any_near({1.5, 0, 0}));
  EXPECT_FALSE(grid.any_near({1.5000001, 0, 0}));
}

TEST(PointGrid, HoldsNothingWhereNoneIsChosen) {
  const PointGrid grid(Matrix3Xd::Zero(3, 4), {}, 1.0);
  EXPECT_FALSE(grid.any_near({0, 0, 0}));
  grid.for_each_near({0, 0, 0}, [](Index, const Vector3d&) { ADD_FAILURE(); });
}

}  // namespace
}  // namespace trammel
