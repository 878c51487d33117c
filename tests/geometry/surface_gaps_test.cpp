#include "trammel/geometry/surface_gaps.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "support/shapes.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

/// Without the triangles whose corners all lie at that height.
Mesh without_level(Mesh mesh, double z_mm) {
  Eigen::Index kept = 0;
  for (Eigen::Index t = 0; t < mesh.triangles.cols(); ++t) {
    bool is_level = true;
    for (int k = 0; k < 3; ++k)
      is_level = is_level && mesh.vertices_mm(2, mesh.triangles(k, t)) == z_mm;
    if (!is_level) mesh.triangles.col(kept++) = mesh.triangles.col(t).eval();
  }
  mesh.triangles.conservativeResize(3, kept);
  return mesh;
}

TEST(SurfaceGaps, OfAClosedSurfaceAreNone) {
  const SurfaceGaps gaps(test::box({0, 0, 0}, {20, 20, 10}));
  for (const Vector3d& p : {Vector3d(10, 10, 5), Vector3d(10, 10, 10), Vector3d(30, 0, 0)})
    EXPECT_EQ(gaps.doubt_of_side(p), 0.0);
}

TEST(SurfaceGaps, LeaveHalfTheDirectionsOpenInTheMiddleAndNoneFarOff) {
  const SurfaceGaps gaps(without_level(test::box({0, 0, 0}, {20, 20, 10}), 10));
  EXPECT_NEAR(gaps.doubt_of_side({10, 10, 10.0 - 1e-9}), 0.5, 1e-6);
  EXPECT_NEAR(gaps.doubt_of_side({10, 10, 10.0 + 1e-9}), 0.5, 1e-6);
  EXPECT_EQ(gaps.doubt_of_side({10, 10, -60}), 0.0);
}

/// A square of half side a from the distance d above its middle: Ω = 4 asin(a² / (a² + d²)).
TEST(SurfaceGaps, AreSeenUnderTheSolidAngleOfASquare) {
  const SurfaceGaps gaps(without_level(test::box({0, 0, 0}, {20, 20, 10}), 10));
  for (const double depth_mm : {1.0, 3.0, 10.0, 20.0}) {
    const double share = std::asin(100.0 / (100.0 + depth_mm * depth_mm)) / 3.14159265358979323846;
    EXPECT_NEAR(gaps.doubt_of_side({10, 10, 10.0 - depth_mm}), share, 1e-12) << depth_mm;
  }
}

/// Half of the lid is cut twice as finely as the wall below: borders, but no gap between them.
TEST(SurfaceGaps, OfTwoSidesOfOneEdgeThatAreCutOtherwiseAreNone) {
  Mesh tent;
  tent.vertices_mm.resize(3, 5);
  tent.vertices_mm << 0, 10, 5, 5, 5,  //
      0, 0, 0, 8, -8,                  //
      0, 0, 0, -3, -3;
  tent.triangles.resize(3, 3);
  tent.triangles << 0, 2, 0,  //
      2, 1, 4,                //
      3, 3, 1;
  const SurfaceGaps all(tent);
  // The rim of this open tent counts; the seam from 0 to 1 by way of 2 adds nothing to it.
  Mesh whole = tent;
  whole.triangles.resize(3, 2);
  whole.triangles << 0, 0,  //
      1, 4,                 //
      3, 1;
  const SurfaceGaps rim(whole);
  for (const Vector3d& p : {Vector3d(4, 1, 2), Vector3d(5, 0.5, 0.01), Vector3d(2, -3, -4)})
    EXPECT_NEAR(all.doubt_of_side(p), rim.doubt_of_side(p), 1e-9);
}

}  // namespace
}  // namespace trammel
