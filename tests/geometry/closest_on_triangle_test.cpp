#include "trammel/geometry/closest_on_triangle.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

EdgeTriangle triangle(const Vector3d& a, const Vector3d& b, const Vector3d& c) {
  return {a, b - a, c - a};
}

const EdgeTriangle kRight = triangle({0, 0, 0}, {4, 0, 0}, {0, 3, 0});

TEST(ClosestOnTriangle, NamesEachOfTheSevenRegions) {
  const auto feature = [](const Vector3d& p) {
    return closest_on_plain_triangle(kRight, p).feature;
  };
  EXPECT_EQ(feature({1, 1, 5}), Feature::Face);
  EXPECT_EQ(feature({-1, -1, 1}), Feature::Vertex0);
  EXPECT_EQ(feature({6, -1, 1}), Feature::Vertex1);
  EXPECT_EQ(feature({-1, 5, 1}), Feature::Vertex2);
  EXPECT_EQ(feature({2, -1, 1}), Feature::Edge0);
  EXPECT_EQ(feature({3, 3, 1}), Feature::Edge1);
  EXPECT_EQ(feature({-1, 1, 1}), Feature::Edge2);
}

TEST(ClosestOnTriangle, PlainAndCarefulWaysAgreeOnRandomTriangles) {
  Rng rng(1);
  int tried = 0;
  for (int i = 0; i < 20000; ++i) {
    const EdgeTriangle t =
        triangle(10.0 * rng.direction() * rng.uniform(), 10.0 * rng.direction() * rng.uniform(),
                 10.0 * rng.direction() * rng.uniform());
    if (is_needle(t)) continue;
    ++tried;
    const Vector3d p = 20.0 * rng.direction() * rng.uniform();
    // Barycentric coordinates lose at most the needle limit's three digits: 1e-16 · 30 mm / 1e-3².
    EXPECT_NEAR(std::sqrt(closest_on_plain_triangle(t, p).squared),
                std::sqrt(closest_on_any_triangle(t, p).squared), 1e-8);
  }
  EXPECT_GT(tried, 19000);
}

TEST(ClosestOnTriangle, NeedleGivesTheDistanceToTheSegmentItNearlyIs) {
  const EdgeTriangle needle = triangle({0, 0, 0}, {100, 0, 0}, {40, 1e-9, 0});
  ASSERT_TRUE(is_needle(needle));
  // The needle is 1e-9 high, so its distance differs from the segment's by less than that.
  EXPECT_NEAR(std::sqrt(closest_on_any_triangle(needle, {55, 3, 4}).squared), 5.0, 1e-9);
  EXPECT_NEAR(std::sqrt(closest_on_any_triangle(needle, {103, 4, 0}).squared), 5.0, 1e-9);
}

TEST(ClosestOnTriangle, TriangleWithoutAreaIsASegmentOrAPoint) {
  const EdgeTriangle segment = triangle({0, 0, 0}, {2, 0, 0}, {6, 0, 0});
  EXPECT_DOUBLE_EQ(closest_on_any_triangle(segment, {5, 2, 0}).squared, 4.0);
  const EdgeTriangle point = triangle({1, 1, 1}, {1, 1, 1}, {1, 1, 1});
  EXPECT_TRUE(is_needle(point));
  EXPECT_DOUBLE_EQ(closest_on_any_triangle(point, {1, 1, 4}).squared, 9.0);
}

}  // namespace
}  // namespace trammel
