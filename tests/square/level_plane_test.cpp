#include "trammel/square/level_plane.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "trammel/geometry/sample_surface.hpp"

namespace trammel {
namespace {

Patches patches_on(const Mesh& mesh, double noise_mm, std::uint64_t seed) {
  Eigen::Matrix3Xd points = sample_surface(mesh, 20'000, Rng(seed)).points_mm;
  Rng rng(seed + 1);
  for (Eigen::Index i = 0; i < points.cols(); ++i)
    points.col(i) += noise_mm * Eigen::Vector3d(rng.normal(), rng.normal(), rng.normal());
  return patches_of(points, PointIndex(points), 5000);
}

TEST(LevelPlane, IsTheLargestFlatFaceAndLooksToTheRest) {
  const Mesh part = test::together(
      {test::box({-200, -200, -40}, {200, 200, 0}), test::box({-40, -30, 0}, {40, 30, 120})});
  const FoundPlane plane = level_plane(patches_on(part, 0.05, 1), std::nullopt, Rng(2));
  EXPECT_TRUE(plane.found) << plane.doubt;
  EXPECT_GT(plane.normal.z(), 0.99999);
  EXPECT_GT(plane.share, 0.3);
  EXPECT_NEAR(plane.offset_mm, -40.0, 0.05);  // the underside: nothing stands on it
}

TEST(LevelPlane, OfACubeIsNotChosen) {
  const FoundPlane plane =
      level_plane(patches_on(test::box({0, 0, 0}, {100, 100, 100}), 0.02, 3), std::nullopt, Rng(4));
  EXPECT_FALSE(plane.found);
  EXPECT_FALSE(plane.doubt.empty());
}

TEST(LevelPlane, OfABallIsNotFound) {
  const FoundPlane plane =
      level_plane(patches_on(test::sphere(100, 5), 0.02, 5), std::nullopt, Rng(6));
  EXPECT_FALSE(plane.found);
}

TEST(LevelPlane, IsThePickedFace) {
  const FoundPlane plane = level_plane(patches_on(test::box({0, 0, 0}, {100, 80, 60}), 0.02, 7),
                                       Eigen::Vector3d(100, 40, 30), Rng(8));
  EXPECT_TRUE(plane.found);
  EXPECT_GT(std::abs(plane.normal.x()), 0.99999);
  EXPECT_NEAR(std::abs(plane.offset_mm), 100.0, 0.01);
}

}  // namespace
}  // namespace trammel
