#include "trammel/square/patches.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "trammel/base/random.hpp"
#include "trammel/geometry/sample_surface.hpp"

namespace trammel {
namespace {

TEST(Patches, LieOnTheSurfaceAndLeaveEdgesOut) {
  const SurfaceSamples samples = sample_surface(test::box({0, 0, 0}, {60, 60, 60}), 30'000, Rng(1));
  const Patches patches = patches_of(samples.points_mm, PointIndex(samples.points_mm), 4000);
  EXPECT_GT(patches.size(), 3000);
  EXPECT_LT(patches.size(), 4001);
  EXPECT_NEAR(patches.diagonal_mm, 60.0 * std::sqrt(3.0), 0.5);
  EXPECT_LT(patches.noise_mm, 1e-9);
  for (Eigen::Index i = 0; i < patches.size(); ++i)
    EXPECT_GT(patches.normals.col(i).cwiseAbs().maxCoeff(), 0.9);
}

TEST(Patches, TellTheNoise) {
  Rng rng(2);
  Eigen::Matrix3Xd points(3, 20'000);
  for (Eigen::Index i = 0; i < points.cols(); ++i)
    points.col(i) << rng.uniform(0, 100), rng.uniform(0, 100), 0.2 * rng.normal();
  EXPECT_NEAR(patches_of(points, PointIndex(points), 2000).noise_mm, 0.2, 0.03);
}

}  // namespace
}  // namespace trammel
