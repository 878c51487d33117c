/// Signs of the surface index against winding numbers (Jacobson, Kavan & Sorkine-Hornung 2013,
/// doi:10.1145/2461912.2461916), summed from the solid angles of the triangles (van Oosterom &
/// Strackee 1983, doi:10.1109/TBME.1983.325207): 1 inside a closed mesh, 0 outside.

#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <cmath>

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
