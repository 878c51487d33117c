/// Signs of the surface index against winding numbers (Jacobson, Kavan & Sorkine-Hornung 2013,
/// doi:10.1145/2461912.2461916), summed from the solid angles of the triangles (van Oosterom &
/// Strackee 1983, doi:10.1109/TBME.1983.325207): 1 inside a closed mesh, 0 outside.

#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <cmath>

#include "reference/nasty_meshes.hpp"
#include "reference/open_data.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/random.hpp"
#include "trammel/geometry/sample_surface.hpp"
#include "trammel/geometry/surface_index.hpp"
#include "trammel/read/read_files.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

/// tan(Ω/2) = a·(b×c) / (abc + (a·b)c + (b·c)a + (c·a)b), summed over all triangles, over 4π.
double winding_number(const Mesh& mesh, const Vector3d& point) {
  double sum = 0.0;
  for (Eigen::Index f = 0; f < mesh.triangles.cols(); ++f) {
    const Vector3d a = mesh.vertices_mm.col(mesh.triangles(0, f)) - point;
    const Vector3d b = mesh.vertices_mm.col(mesh.triangles(1, f)) - point;
    const Vector3d c = mesh.vertices_mm.col(mesh.triangles(2, f)) - point;
    const double la = a.norm(), lb = b.norm(), lc = c.norm();
    sum += 2.0 * std::atan2(a.dot(b.cross(c)),
                            la * lb * lc + a.dot(b) * lc + b.dot(c) * la + c.dot(a) * lb);
  }
  return sum / (4.0 * kPi);
}

void expect_signs_of_winding(const Mesh& mesh) {
  const double size = bounding_box(mesh.vertices_mm).diagonal_mm();
  const SurfaceIndex index(mesh);
  Rng rng(12);
  const auto samples = sample_surface(mesh, 600, rng.stream("near"));
  int inside = 0, outside = 0;
  for (Eigen::Index i = 0; i < samples.points_mm.cols(); ++i) {
    const Vector3d point =
        samples.points_mm.col(i) + rng.uniform(0.0, 0.03) * size * rng.direction();
    const auto at = index.nearest(point);
    // Nearer than this the sum of angles itself is unsure of its side.
    if (at.distance_mm < 1e-6 * size) continue;
    const double winding = winding_number(mesh, point);
    ASSERT_LT(std::abs(winding - std::round(winding)), 1e-6) << point.transpose();
    const bool is_inside = std::lround(winding) > 0;
    EXPECT_EQ(index.signed_distance(point, at) < 0.0, is_inside)
        << point.transpose() << ", winding number " << winding;
    ++(is_inside ? inside : outside);
  }
  EXPECT_GT(inside, 100);
  EXPECT_GT(outside, 100);
}

// Near vertices and edges, where the face normal of the nearest triangle may look away from the
// point: within 1e-9 of the size and up. The sum of angles itself is then good to about 1e-16 /
// 1e-9 of a turn a triangle, far better than the half turn that tells the sides apart.
TEST(SurfaceIndex, SignsAtKnivesSpikesAndSaddlesAgreeWithWindingNumbers) {
  for (const auto& [name, mesh] : test::sharp_solids()) {
    const double size = bounding_box(mesh.vertices_mm).diagonal_mm();
    const SurfaceIndex index(mesh);
    Rng rng(14);
    int inside = 0, outside = 0;
    for (int i = 0; i < 3000; ++i) {
      const auto face =
          static_cast<Eigen::Index>(rng.index(static_cast<std::size_t>(mesh.triangles.cols())));
      const Vector3d a = mesh.vertices_mm.col(mesh.triangles(0, face));
      const Vector3d b = mesh.vertices_mm.col(mesh.triangles(1, face));
      const Vector3d on_edge = a + (i % 2 == 0 ? 0.0 : rng.uniform()) * (b - a);
      const double off = size * std::pow(10.0, rng.uniform(-9.0, -0.5));
      const Vector3d point = on_edge + off * rng.direction();
      const auto at = index.nearest(point);
      if (at.distance_mm < 1e-9 * size) continue;
      const double winding = winding_number(mesh, point);
      ASSERT_LT(std::abs(winding - std::round(winding)), 0.01) << name << point.transpose();
      const bool is_inside = std::lround(winding) > 0;
      EXPECT_EQ(index.signed_distance(point, at) < 0.0, is_inside)
          << name << " at " << point.transpose() << ", " << at.distance_mm << " mm off";
      ++(is_inside ? inside : outside);
    }
    EXPECT_GT(outside, 1000) << name;
    EXPECT_GT(inside, 20) << name;
  }
}

class ClosedMesh : public testing::TestWithParam<const char*> {};

TEST_P(ClosedMesh, SignsAgreeWithWindingNumbers) {
  const auto path = test::debian_data(GetParam());
  TRAMMEL_NEEDS(path);
  const Design design = read_design(path, Unit::Mm);
  ASSERT_TRUE(design.health.closed);
  expect_signs_of_winding(design.mesh);
}

class ClosedSharedMesh : public testing::TestWithParam<const char*> {};

TEST_P(ClosedSharedMesh, SignsAgreeWithWindingNumbers) {
  const auto path = test::shared_data(GetParam());
  TRAMMEL_NEEDS(path);
  const Design design = read_design(path, Unit::Mm);
  ASSERT_TRUE(design.health.closed);
  expect_signs_of_winding(design.mesh);
}

// Data sets of CGAL, Debian package libcgal-demo 5.5.1.
INSTANTIATE_TEST_SUITE_P(SurfaceIndex, ClosedMesh,
                         testing::Values("meshes/anchor.off", "meshes/couplingdown.off",
                                         "meshes/fandisk.off", "meshes/joint.off",
                                         "meshes/pinion.off", "meshes/rotor.off",
                                         "meshes/spool.off", "meshes/elephant.off"));

// Closed by the figures of the folder's README.
INSTANTIATE_TEST_SUITE_P(SurfaceIndex, ClosedSharedMesh,
                         testing::Values("nist-am-artifact/artifact.stl", "cad/featuretype.ply",
                                         "scans/box.obj"));

}  // namespace
}  // namespace trammel
