#include "trammel/model/mesh.hpp"

#include <gtest/gtest.h>

#include <limits>

#include "support/shapes.hpp"
#include "trammel/base/error.hpp"

namespace trammel {
namespace {

/// The right-angled corner of a cube of edge 1: volume 1/6, area 3 · 1/2 + √3/2.
Mesh corner_tetrahedron() {
  Mesh mesh;
  mesh.vertices_mm.resize(3, 4);
  mesh.vertices_mm << 0, 1, 0, 0,  //
      0, 0, 1, 0,                  //
      0, 0, 0, 1;
  mesh.triangles.resize(3, 4);
  mesh.triangles << 0, 0, 0, 1,  //
      2, 1, 3, 2,                //
      1, 3, 2, 3;
  return mesh;
}

template <typename Action>
void expect_internal_error(const Action& action) {
  try {
    action();
    FAIL() << "nothing was thrown";
  } catch (const Error& error) {
    EXPECT_EQ(error.kind(), ErrorKind::Internal);
  }
}

TEST(Mesh, HasTheAreaAndVolumeOfItsSolid) {
  EXPECT_NEAR(surface_area_mm2(corner_tetrahedron()), 1.5 + std::sqrt(3.0) / 2.0, 1e-15);
  EXPECT_NEAR(signed_volume_mm3(corner_tetrahedron()), 1.0 / 6.0, 1e-15);
}

TEST(Mesh, HasNegativeVolumeInsideOut) {
  Mesh mesh = corner_tetrahedron();
  mesh.triangles.row(1).swap(mesh.triangles.row(2));
  EXPECT_NEAR(signed_volume_mm3(mesh), -1.0 / 6.0, 1e-15);
}

TEST(Mesh, KeepsItsVolumeFarFromTheOrigin) {
  // A metre away the corners of a part of 1 mm still tell its volume: the sum is taken about the
  // middle. Coordinates there are good to 1.1e-13.
  Mesh mesh = corner_tetrahedron();
  mesh.vertices_mm.colwise() += Eigen::Vector3d(1000, -1000, 1000);
  EXPECT_NEAR(signed_volume_mm3(mesh), 1.0 / 6.0, 1e-12);
}

TEST(Mesh, HasAreaVectorsThatPointOutward) {
  EXPECT_EQ(area_vector(corner_tetrahedron(), 0), Eigen::Vector3d(0, 0, -1));
  EXPECT_EQ(area_vector(corner_tetrahedron(), 3), Eigen::Vector3d(1, 1, 1));
}

TEST(BoundingBox, HoldsAllPoints) {
  const Box around = bounding_box(test::box({-1, 2, 3}, {4, 6, 10}).vertices_mm);
  EXPECT_EQ(around.low_mm, Eigen::Vector3d(-1, 2, 3));
  EXPECT_EQ(around.size_mm(), Eigen::Vector3d(5, 4, 7));
  EXPECT_EQ(around.center_mm(), Eigen::Vector3d(1.5, 4, 6.5));
  EXPECT_DOUBLE_EQ(around.diagonal_mm(), std::sqrt(25.0 + 16.0 + 49.0));
}

TEST(BoundingBox, OfNothingHasNoSize) {
  EXPECT_EQ(bounding_box(Eigen::Matrix3Xd(3, 0)).diagonal_mm(), 0.0);
}

TEST(CheckMesh, AcceptsSoundAndEmptyMeshes) {
  EXPECT_NO_THROW(check_mesh(corner_tetrahedron()));
  EXPECT_NO_THROW(check_mesh(Mesh{}));
}

TEST(CheckMesh, RejectsCornersThatAreNoVertices) {
  Mesh mesh = corner_tetrahedron();
  mesh.triangles(0, 0) = 4;
  expect_internal_error([&] { check_mesh(mesh); });
  mesh.triangles(0, 0) = -1;
  expect_internal_error([&] { check_mesh(mesh); });
}

TEST(CheckMesh, RejectsCoordinatesThatAreNotFinite) {
  for (const double wrong :
       {std::numeric_limits<double>::quiet_NaN(), std::numeric_limits<double>::infinity()}) {
    Mesh mesh = corner_tetrahedron();
    mesh.vertices_mm(1, 2) = wrong;
    expect_internal_error([&] { check_mesh(mesh); });
  }
}

}  // namespace
}  // namespace trammel
