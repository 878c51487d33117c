#include "trammel/base/directions.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "trammel/base/random.hpp"

namespace trammel {
namespace {

TEST(SpreadDirections, LeaveNoGap) {
  const auto directions = spread_directions(26);
  ASSERT_EQ(directions.size(), 26u);
  // A cap of 1/26 of the sphere has the radius acos(1 − 2/26) = 22.6°; no gap wider than two.
  const double least_cosine = std::cos(2.0 * std::acos(1.0 - 2.0 / 26.0));
  Rng rng(16);
  for (int i = 0; i < 2000; ++i) {
    const Eigen::Vector3d anywhere = rng.direction();
    double nearest = -1.0;
    for (const Eigen::Vector3d& direction : directions)
      nearest = std::max(nearest, direction.dot(anywhere));
    ASSERT_GT(nearest, least_cosine);
  }
}

TEST(DirectionsAcross, GoRoundInEqualSteps) {
  const Eigen::Vector3d normal = Eigen::Vector3d(1, -2, 3).normalized();
  const auto ways = directions_across(normal, 8);
  ASSERT_EQ(ways.size(), 8u);
  for (std::size_t k = 0; k < ways.size(); ++k) {
    EXPECT_NEAR(ways[k].norm(), 1.0, 1e-15);
    EXPECT_NEAR(ways[k].dot(normal), 0.0, 1e-15);
    EXPECT_NEAR(ways[k].dot(ways[(k + 1) % 8]), std::sqrt(0.5), 1e-15);
  }
}

}  // namespace
}  // namespace trammel
