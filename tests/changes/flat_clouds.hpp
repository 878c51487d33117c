#pragma once

/// Noisy points on planes, for tests of change.

#include <Eigen/Core>

#include "trammel/base/random.hpp"

namespace trammel::test {

/// `count` points, even over [0, side]² at height z, with noise along z.
inline Eigen::Matrix3Xd flat_points(double side_mm, int count, double z_mm, double noise_mm,
                                    Rng rng) {
  Eigen::Matrix3Xd points(3, count);
  for (int i = 0; i < count; ++i)
    points.col(i) << rng.uniform(0.0, side_mm), rng.uniform(0.0, side_mm),
        z_mm + noise_mm * rng.normal();
  return points;
}

}  // namespace trammel::test
