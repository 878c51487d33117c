#include "trammel/geometry/point_index.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "trammel/base/random.hpp"

namespace trammel {
namespace {

/// The slow twin: all points sorted by (distance, index).
std::vector<Neighbour> sorted_neighbours(const Eigen::Matrix3Xd& points, const Eigen::Vector3d& p) {
  std::vector<Neighbour> all;
  for (Eigen::Index i = 0; i < points.cols(); ++i)
    all.push_back({static_cast<int>(i), (points.col(i) - p).norm()});
  std::stable_sort(all.begin(), all.end(), [](const Neighbour& a, const Neighbour& b) {
    return a.distance_mm < b.distance_mm;
  });
  return all;
}

/// Points of a grid: many equal distances. Shuffled, so that place and index have nothing in
/// common; every third one is there twice.
Eigen::Matrix3Xd shuffled_grid(Rng rng) {
  std::vector<Eigen::Vector3d> points;
  for (int x = 0; x < 6; ++x)
    for (int y = 0; y < 6; ++y)
      for (int z = 0; z < 6; ++z) {
        points.emplace_back(x, y, z);
        if ((x + y + z) % 3 == 0) points.emplace_back(x, y, z);
      }
  for (std::size_t i = points.size(); i > 1; --i)
    std::swap(points[i - 1], points[rng.index(i)]);
  Eigen::Matrix3Xd result(3, static_cast<Eigen::Index>(points.size()));
  for (std::size_t i = 0; i < points.size(); ++i)
    result.col(static_cast<Eigen::Index>(i)) = points[i];
  return result;
}

Eigen::Matrix3Xd random_points(int count, Rng rng) {
  Eigen::Matrix3Xd points(3, count);
  for (Eigen::Index i = 0; i < count; ++i)
    points.col(i) = Eigen::Vector3d(rng.uniform(0, 9), rng.uniform(0, 5), rng.uniform(0, 2));
  return points;
}

TEST(PointIndex, FindsTheSameNearestPointsAsTryingAll) {
  Rng rng(1);
  const Eigen::Matrix3Xd points = random_points(500, rng.stream("points"));
  const PointIndex index(points);
  for (int trial = 0; trial < 200; ++trial) {
    const Eigen::Vector3d p = 10.0 * rng.direction();
    const auto found = index.nearest(p, 7);
    const auto expected = sorted_neighbours(points, p);
    ASSERT_EQ(found.size(), 7U);
    for (std::size_t k = 0; k < 7; ++k) {
      EXPECT_EQ(found[k].index, expected[k].index);
      EXPECT_DOUBLE_EQ(found[k].distance_mm, expected[k].distance_mm);
    }
  }
}

TEST(PointIndex, GivesEqualDistancesByLowestIndex) {
  const Eigen::Matrix3Xd points = shuffled_grid(Rng(2));
  const PointIndex index(points);
  // Half-way places have 8 (or more) equally near points; counts cut through those groups.
  for (const Eigen::Vector3d& p : {Eigen::Vector3d(2.5, 2.5, 2.5), Eigen::Vector3d(2, 2, 2),
                                   Eigen::Vector3d(0, 3, 4.5), Eigen::Vector3d(1.5, 0, 3)}) {
    const auto expected = sorted_neighbours(points, p);
    for (const int count : {1, 2, 3, 5, 11, 20}) {
      const auto found = index.nearest(p, count);
      ASSERT_EQ(found.size(), static_cast<std::size_t>(count));
      for (std::size_t k = 0; k < found.size(); ++k)
        EXPECT_EQ(found[k].index, expected[k].index) << "neighbour " << k << " of " << count;
    }
  }
}

TEST(PointIndex, LeavesOutTheNearestThatLieBeyondARadius) {
  const Eigen::Matrix3Xd points = shuffled_grid(Rng(4));
  const PointIndex index(points);
  const Eigen::Vector3d p(3, 3, 3);
  const auto expected = sorted_neighbours(points, p);
  for (const double radius_mm : {0.0, 0.5, 1.0, 1.9, 2.0, 100.0}) {  // some points lie on the rim
    const auto found = index.nearest(p, 20, radius_mm);
    const auto within =
        std::count_if(expected.begin(), expected.end(),
                      [&](const Neighbour& other) { return other.distance_mm <= radius_mm; });
    ASSERT_EQ(found.size(), std::min<std::size_t>(20, static_cast<std::size_t>(within)));
    for (std::size_t k = 0; k < found.size(); ++k)
      EXPECT_EQ(found[k].index, expected[k].index) << k << " within " << radius_mm;
  }
  EXPECT_TRUE(index.nearest({50, 0, 0}, 3, 10.0).empty());
}

TEST(PointIndex, FindsAllPointsWithinARadiusTheRimIncluded) {
  const Eigen::Matrix3Xd points = shuffled_grid(Rng(3));
  const PointIndex index(points);
  const Eigen::Vector3d p(3, 3, 3);
  const auto found = index.within(p, 2.0);  // (1, 3, 3) and its like lie exactly on the rim
  std::size_t expected = 0;
  for (const Neighbour& n : sorted_neighbours(points, p))
    if (n.distance_mm <= 2.0) {
      ASSERT_LT(expected, found.size());
      EXPECT_EQ(found[expected].index, n.index);
      ++expected;
    }
  EXPECT_EQ(found.size(), expected);
}

TEST(PointIndex, GivesWhatThereIsWhenAskedForMore) {
  const Eigen::Matrix3Xd points = random_points(3, Rng(4));
  EXPECT_EQ(PointIndex(points).nearest(Eigen::Vector3d::Zero(), 10).size(), 3U);
  const Eigen::Matrix3Xd none(3, 0);
  EXPECT_TRUE(PointIndex(none).nearest(Eigen::Vector3d::Zero(), 1).empty());
  EXPECT_TRUE(PointIndex(none).within(Eigen::Vector3d::Zero(), 1.0).empty());
}

TEST(MedianSpacing, IsTheStepOfARegularGrid) {
  Eigen::Matrix3Xd points(3, 20 * 20);
  for (int i = 0; i < 400; ++i)
    points.col(i) = Eigen::Vector3d(0.25 * (i % 20), 0.25 * (i / 20), 7.0);
  EXPECT_DOUBLE_EQ(median_spacing_mm(points, PointIndex(points)), 0.25);
}

TEST(MedianSpacing, IsZeroForFewerThanTwoPoints) {
  const Eigen::Matrix3Xd one = Eigen::Matrix3Xd::Ones(3, 1);
  EXPECT_EQ(median_spacing_mm(one, PointIndex(one)), 0.0);
}

TEST(PointIndex, OfSomePointsGivesTheirNumbersAmongAll) {
  const Eigen::Matrix3Xd points = shuffled_grid(Rng(8));
  std::vector<int> chosen;
  for (int i = 1; i < points.cols(); i += 3)
    chosen.push_back(i);
  const PointIndex index(points, chosen);
  const Eigen::Vector3d at(2.25, 3.125, 1.75);
  std::vector<Neighbour> expected;
  for (const Neighbour& n : sorted_neighbours(points, at))
    if (n.index % 3 == 1) expected.push_back(n);
  const std::vector<Neighbour> found = index.nearest(at, 20);
  ASSERT_EQ(found.size(), 20U);
  for (std::size_t k = 0; k < found.size(); ++k) {
    EXPECT_EQ(found[k].index, expected[k].index);
    EXPECT_DOUBLE_EQ(found[k].distance_mm, expected[k].distance_mm);
  }
}

}  // namespace
}  // namespace trammel
