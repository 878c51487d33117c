#include "trammel/geometry/mesh_topology.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

TEST(MeshTopology, EveryEdgeOfABoxHasOneTriangleAcross) {
  const Mesh box = test::box({0, 0, 0}, {1, 2, 3});
  const EdgeNeighbours neighbours = edge_neighbours(box);
  for (Eigen::Index t = 0; t < box.triangles.cols(); ++t) {
    for (int k = 0; k < 3; ++k) {
      const int other = neighbours.across(k, t);
      ASSERT_GE(other, 0);
      EXPECT_TRUE((neighbours.across.col(other).array() == static_cast<int>(t)).any());
    }
  }
}

TEST(MeshTopology, MarksBordersAndEdgesOfThreeTriangles) {
  Mesh fan;
  fan.vertices_mm.resize(3, 5);
  fan.vertices_mm << 0, 0, 1, -1, 0, 0, 0, 0, 0, 1, 0, 1, 0, 0, 0;
  fan.triangles.resize(3, 3);
  fan.triangles << 0, 0, 0, 1, 1, 1, 2, 3, 4;
  const EdgeNeighbours neighbours = edge_neighbours(fan);
  for (int t = 0; t < 3; ++t) {
    EXPECT_EQ(neighbours.across(0, t), EdgeNeighbours::kNonManifold);
    EXPECT_EQ(neighbours.across(1, t), EdgeNeighbours::kBorder);
  }
}

TEST(MeshTopology, CornerNormalOfACubeIsTheDiagonalForAnyTriangulation) {
  // Bærentzen & Aanæs 2005: weighting by angle makes the normal independent of the triangulation.
  const Mesh cube = test::box({-1, -1, -1}, {1, 1, 1});
  const Eigen::Matrix3Xd normals = angle_weighted_normals(cube);
  for (Eigen::Index v = 0; v < cube.vertices_mm.cols(); ++v) {
    const Vector3d diagonal = cube.vertices_mm.col(v).normalized();
    EXPECT_NEAR(normals.col(v).normalized().dot(diagonal), 1.0, 1e-14);
  }
}

}  // namespace
}  // namespace trammel
