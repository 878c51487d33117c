/// Signed distances against closed forms: exact distance functions of box and torus as published by
/// I. Quilez, "Distance functions" (iquilezles.org/articles/distfunctions), evaluated by hand.

#include <gtest/gtest.h>

#include <cmath>

#include "support/shapes.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/geometry/surface_index.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

struct Value {
  Vector3d point;
  double distance;
};

double signed_distance(const SurfaceIndex& index, const Vector3d& point) {
  return index.signed_distance(point, index.nearest(point));
}

// |max(q, 0)| + min(max q, 0) with q = |p| − (1, 2, 3).
TEST(ClosedForm, BoxOfHalfSizesOneTwoThree) {
  const SurfaceIndex index(test::box({-1, -2, -3}, {1, 2, 3}));
  const Value values[] = {{{0, 0, 0}, -1.0},
                          {{0.5, 0, 0}, -0.5},
                          {{3, 0, 0}, 2.0},
                          {{3, 4, 0}, std::sqrt(8.0)},
                          {{3, 4, 5}, std::sqrt(12.0)}};
  for (const Value& value : values)
    EXPECT_NEAR(signed_distance(index, value.point), value.distance, 1e-14)
        << value.point.transpose();
}

// |(√(x² + y²) − 20, z)| − 5. The mesh has its vertices on the torus and lies inside it by no more
// than the sag of its chords, (R + r)(1 − cos π/n) round the ring and r (1 − cos π/m) round the
// tube; on the hollow side of the ring it lies outside by no more than the same. A distance changes
// by no more than the surface does.
TEST(ClosedForm, TorusOfRing20AndTube5) {
  constexpr int kRing = 360, kTube = 120;
  const double sag = 25 * (1 - std::cos(kPi / kRing)) + 5 * (1 - std::cos(kPi / kTube));
  ASSERT_LT(sag, 0.003);
  const SurfaceIndex index(test::torus(20, 5, kRing, kTube));
  const Value values[] = {{{0, 0, 0}, 15.0},
                          {{20, 0, 0}, -5.0},
                          {{28, 0, 0}, 3.0},
                          {{20, 0, 5}, 0.0},
                          {{0, 23, 4}, 0.0}};
  for (const Value& value : values)
    EXPECT_NEAR(signed_distance(index, value.point), value.distance, sag)
        << value.point.transpose();
}

}  // namespace
}  // namespace trammel
