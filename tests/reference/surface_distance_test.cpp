/// Distances of the surface index against CGAL 5.5's AABB tree, on open meshes.

#include <gtest/gtest.h>

#include <cmath>
#include <string>

#include "reference/cgal_geometry.hpp"
#include "reference/open_data.hpp"
#include "trammel/base/random.hpp"
#include "trammel/geometry/sample_surface.hpp"
#include "trammel/geometry/surface_index.hpp"
#include "trammel/read/read_files.hpp"

namespace trammel {
namespace {

using Eigen::Matrix3Xd;
using Eigen::Vector3d;

constexpr double kAgreement = 1e-9;  // of the part's size, as the project promises

/// Points at and near the surface (up to 1 % of the size off) and all over three times the box.
Matrix3Xd points_near_and_far(const Mesh& mesh, int of_each) {
  const Box box = bounding_box(mesh.vertices_mm);
  Rng rng(11);
  const auto on = sample_surface(mesh, static_cast<std::size_t>(of_each), rng.stream("near"));
  Matrix3Xd points(3, on.points_mm.cols() + of_each);
  for (Eigen::Index i = 0; i < on.points_mm.cols(); ++i) {
    const double off = i % 8 == 0 ? 0.0 : rng.uniform(-0.01, 0.01) * box.diagonal_mm();
    points.col(i) = on.points_mm.col(i) + off * rng.direction();
  }
  for (Eigen::Index i = on.points_mm.cols(); i < points.cols(); ++i)
    for (int k = 0; k < 3; ++k)
      points(k, i) = box.center_mm()[k] + rng.uniform(-1.5, 1.5) * box.size_mm()[k];
  return points;
}

void expect_same_distances(const Mesh& mesh) {
  const double size = bounding_box(mesh.vertices_mm).diagonal_mm();
  const SurfaceIndex index(mesh);
  const test::CgalDistance cgal(mesh);
  const Matrix3Xd points = points_near_and_far(mesh, 2000);
  double worst = 0.0;
  for (Eigen::Index i = 0; i < points.cols(); ++i) {
    const double ours = index.nearest(points.col(i)).distance_mm;
    worst = std::max(worst, std::abs(ours - cgal(points.col(i))));
  }
  EXPECT_LE(worst, kAgreement * size) << "size " << size << " mm";
}

class OfDebian : public testing::TestWithParam<const char*> {};
class OfSharedData : public testing::TestWithParam<const char*> {};

TEST_P(OfDebian, DistancesAgreeWithCgal) {
  const auto path = test::debian_data(GetParam());
  TRAMMEL_NEEDS(path);
  expect_same_distances(read_design(path, Unit::Mm).mesh);
}

TEST_P(OfSharedData, DistancesAgreeWithCgal) {
  const auto path = test::shared_data(GetParam());
  TRAMMEL_NEEDS(path);
  expect_same_distances(read_design(path, Unit::Mm).mesh);
}

// Data sets of CGAL, Debian package libcgal-demo 5.5.1; the last three are flawed on purpose.
INSTANTIATE_TEST_SUITE_P(SurfaceIndex, OfDebian,
                         testing::Values("meshes/anchor.off", "meshes/anchor_dense.off",
                                         "meshes/couplingdown.off", "meshes/fandisk.off",
                                         "meshes/joint.off", "meshes/pinion.off",
                                         "meshes/rotor.off", "meshes/spool.off",
                                         "meshes/elephant.off", "meshes/mech-holes-shark.off",
                                         "meshes/elephant-with-holes.off",
                                         "meshes/degtri_sliding.off"));

// Origins and licences are listed in the folder's README.
INSTANTIATE_TEST_SUITE_P(SurfaceIndex, OfSharedData,
                         testing::Values("nist-am-artifact/artifact.stl", "cad/featuretype.ply",
                                         "cad/plate_holes.STL", "cad/1002_tray_bottom.STL",
                                         "scans/box.obj"));

}  // namespace
}  // namespace trammel
