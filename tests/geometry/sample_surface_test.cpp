#include "trammel/geometry/sample_surface.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace trammel {
namespace {

/// Two triangles in the plane z = 1, areas 1 and 3, with one without area between them.
Mesh uneven_triangles() {
  Mesh mesh;
  mesh.vertices_mm.resize(3, 6);
  mesh.vertices_mm << 0, 2, 0, 10, 16, 10,  //
      0, 0, 1, 0, 0, 1,                     //
      1, 1, 1, 1, 1, 1;
  mesh.triangles.resize(3, 3);
  mesh.triangles << 0, 0, 3,  //
      1, 1, 4,                //
      2, 1, 5;
  return mesh;
}

TEST(SampleSurface, SharesPointsByArea) {
  const SurfaceSamples samples = sample_surface(uneven_triangles(), 1000, Rng(1));
  ASSERT_EQ(samples.points_mm.cols(), 1000);
  // Even steps along the summed areas: the count on a triangle is right to within one.
  EXPECT_NEAR(static_cast<double>((samples.triangle.array() == 0).count()), 250.0, 1.0);
  EXPECT_EQ((samples.triangle.array() == 1).count(), 0);
  EXPECT_NEAR(static_cast<double>((samples.triangle.array() == 2).count()), 750.0, 1.0);
}

TEST(SampleSurface, PutsPointsInsideTheirTriangleWithItsNormal) {
  const SurfaceSamples samples = sample_surface(uneven_triangles(), 1000, Rng(2));
  for (Eigen::Index i = 0; i < samples.points_mm.cols(); ++i) {
    const bool first = samples.triangle[i] == 0;
    const double x = samples.points_mm(0, i) - (first ? 0.0 : 10.0);
    const double y = samples.points_mm(1, i);
    EXPECT_GE(x, -1e-12);
    EXPECT_GE(y, -1e-12);
    EXPECT_LE(x / (first ? 2.0 : 6.0) + y, 1.0 + 1e-12);
    EXPECT_DOUBLE_EQ(samples.points_mm(2, i), 1.0);
    EXPECT_EQ(samples.normals.col(i), Eigen::Vector3d::UnitZ());
  }
}

TEST(SampleSurface, IsUniformWithinATriangle) {
  constexpr int kCount = 20000;
  const SurfaceSamples samples = sample_surface(uneven_triangles(), kCount, Rng(3));
  Eigen::Vector3d mean = Eigen::Vector3d::Zero();
  int large = 0;
  for (Eigen::Index i = 0; i < kCount; ++i)
    if (samples.triangle[i] == 2) {
      mean += samples.points_mm.col(i);
      ++large;
    }
  mean /= large;
  // Centroid (12, 1/3). Along a side of length s a uniform point has the variance s²/18: for 15,000
  // points 4 σ of the mean is 4·6/√18/√15000 = 0.046 along x, a sixth of that along y.
  EXPECT_NEAR(mean.x(), 12.0, 0.046);
  EXPECT_NEAR(mean.y(), 1.0 / 3.0, 0.0077);
}

TEST(SampleSurface, IsEmptyForAMeshWithoutArea) {
  Mesh flat = uneven_triangles();
  flat.triangles.conservativeResize(3, 2);
  flat.triangles.col(0) = flat.triangles.col(1);
  EXPECT_EQ(sample_surface(flat, 100, Rng(4)).points_mm.cols(), 0);
  EXPECT_EQ(sample_surface(Mesh{}, 100, Rng(4)).points_mm.cols(), 0);
}

TEST(SampleSurface, RepeatsWithTheSameSeedOnly) {
  const Mesh mesh = uneven_triangles();
  EXPECT_EQ(sample_surface(mesh, 50, Rng(5)).points_mm, sample_surface(mesh, 50, Rng(5)).points_mm);
  EXPECT_NE(sample_surface(mesh, 50, Rng(5)).points_mm, sample_surface(mesh, 50, Rng(6)).points_mm);
}

}  // namespace
}  // namespace trammel
