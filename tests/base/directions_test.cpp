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

}  // namespace
}  // namespace trammel
