#include "../../src/geometry/rim_edge.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace trammel {
namespace {

TEST(RimEdge, AStrayFarInsideAFacePointFarOutsideAndHalfOnTheRim) {
  EXPECT_NEAR(part_of_face(-9.0), kStrayShare, 1e-12);
  EXPECT_NEAR(part_of_face(9.0), 1.0, 1e-12);
  EXPECT_NEAR(part_of_face(0.0), 0.5 * (1.0 + kStrayShare), 1e-12);
  // Φ(1) = 0.841345 (tables of the normal distribution, from memory).
  EXPECT_NEAR(part_of_face(1.0), kStrayShare + (1.0 - kStrayShare) * 0.841345, 1e-6);
}

TEST(RimEdge, TheTableIsTheLogarithmWithinWhatItStates) {
  for (double u = -12.0; u < kEdgeReach; u += 0.000937)
    ASSERT_NEAR(log_part_of_face(u), std::log(part_of_face(u)), 5e-6) << u;
  for (const double u : {kEdgeReach, 5.0, 1e9, HUGE_VAL}) {
    EXPECT_EQ(log_part_of_face(u), 0.0) << u;
    EXPECT_NEAR(std::log(part_of_face(u)), 0.0, 4e-5) << u;
  }
  EXPECT_NEAR(log_part_of_face(-HUGE_VAL), std::log(kStrayShare), 5e-6);
}

}  // namespace
}  // namespace trammel
