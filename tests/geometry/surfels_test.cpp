#include "trammel/geometry/surfels.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "trammel/base/random.hpp"
#include "trammel/geometry/sample_surface.hpp"
#include "trammel/geometry/surface_index.hpp"

namespace trammel {
namespace {

TEST(Surfels, LookAlongTheirNormalsAndHoldACircleOfTheirRadius) {
  Eigen::Matrix3Xd points(3, 2), normals(3, 2);
  points << 0, 10, 0, 0, 0, 5;
  normals << 0, 1, 0, 0, 1, 0;
  const Mesh mesh = surfel_mesh(points, normals, 0.5, "two");
  ASSERT_EQ(mesh.triangles.cols(), 2);
  for (Eigen::Index t = 0; t < 2; ++t) {
    // An equilateral triangle about a circle of radius r has the area 3 √3 r².
    EXPECT_NEAR(0.5 * area_vector(mesh, t).norm(), 3.0 * std::sqrt(3.0) * 0.25, 1e-12);
    EXPECT_NEAR(area_vector(mesh, t).normalized().dot(normals.col(t)), 1.0, 1e-12);
  }
}

TEST(Surfels, StandForASphereToTheirOwnSagitta) {
  const SurfaceSamples samples = sample_surface(test::sphere(50, 6), 20'000, Rng(7));
  const double radius = 1.5;  // spacing of 20,000 points on 31,416 mm² is 1.25 mm
  const SurfaceIndex index(surfel_mesh(samples.points_mm, samples.normals, radius, "ball"));
  // Farthest corner 2 r from the centre: it stands (2 r)² / 2 R off.
  const double sagitta = 4.0 * radius * radius / 100.0;
  Rng rng(8);
  for (int i = 0; i < 500; ++i) {
    const Eigen::Vector3d p = 50.0 * rng.direction();
    EXPECT_LT(index.nearest(p).distance_mm, sagitta);
  }
}

}  // namespace
}  // namespace trammel
