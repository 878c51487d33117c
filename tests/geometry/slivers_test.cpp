#include "trammel/geometry/slivers.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "trammel/geometry/mesh_edges.hpp"

namespace trammel {
namespace {

/// A box whose first edge has `count` more vertices on it for one of its two faces only; a fan of
/// flat triangles fills the slit: what a tessellator leaves where two faces split an edge
/// differently. Closed.
Mesh box_with_flat_triangles(int count) {
  Mesh mesh = test::box({0, 0, 0}, {10, 10, 10});
  const int a = mesh.triangles(0, 0), b = mesh.triangles(1, 0), c = mesh.triangles(2, 0);
  const Eigen::Vector3d from = mesh.vertices_mm.col(a), to = mesh.vertices_mm.col(b);
  const auto first_vertex = static_cast<int>(mesh.vertices_mm.cols());
  const Eigen::Index first_triangle = mesh.triangles.cols();
  mesh.vertices_mm.conservativeResize(3, first_vertex + count);
  mesh.triangles.conservativeResize(3, first_triangle + 2 * count);
  for (int i = 0; i < count; ++i) {
    const int vertex = first_vertex + i;
    const int next = i + 1 < count ? vertex + 1 : b;
    mesh.vertices_mm.col(vertex) = from + (to - from) * (i + 1.0) / (count + 1.0);
    mesh.triangles.col(first_triangle + 2 * i) << vertex, next, c;
    mesh.triangles.col(first_triangle + 2 * i + 1) << a, next, vertex;
  }
  mesh.triangles.col(0) << a, first_vertex, c;
  return mesh;
}

EdgeCounts edges_of(const Mesh& mesh) {
  return count_edges(sorted_edge_uses(mesh.triangles, mesh.vertices_mm.cols()));
}

TEST(Slivers, AreSwungAwayAndTheSurfaceStaysClosedWithItsAreaAndVolume) {
  for (const int count : {1, 2, 7}) {
    const Mesh split = box_with_flat_triangles(count);
    ASSERT_EQ(edges_of(split).open, 0U);
    ASSERT_EQ(flat_triangles(split, 1e-9).size(), static_cast<std::size_t>(count));
    const SwungMesh swung = swing_flat_triangles(split, 1e-9);
    EXPECT_GE(swung.swung, static_cast<std::size_t>(count));
    EXPECT_TRUE(flat_triangles(swung.mesh, 1e-9).empty());
    const EdgeCounts edges = edges_of(swung.mesh);
    EXPECT_EQ(edges.open + edges.non_manifold + edges.mixed_winding, 0U);
    EXPECT_NEAR(surface_area_mm2(swung.mesh), 600.0, 1e-9);  // closed form, rounding of 600
    EXPECT_NEAR(signed_volume_mm3(swung.mesh), 1000.0, 1e-9);
  }
}

TEST(Slivers, AtABorderHaveNoNeighbourAndStay) {
  Mesh lone;
  lone.vertices_mm.resize(3, 3);
  lone.vertices_mm.transpose() << 0, 0, 0, 2, 0, 0, 1, 0, 0;
  lone.triangles.resize(3, 1);
  lone.triangles << 0, 1, 2;
  const SwungMesh swung = swing_flat_triangles(lone, 1e-9);
  EXPECT_EQ(swung.swung, 0U);
  EXPECT_EQ(swung.mesh.triangles, lone.triangles);
}

TEST(Slivers, HaveTheirHeightMeasuredAboveTheLongestSide) {
  Mesh triangle;
  triangle.vertices_mm.resize(3, 3);
  triangle.vertices_mm.transpose() << 0, 0, 0, 5, 0, 0, 0, 2, 0;
  triangle.triangles.resize(3, 1);
  triangle.triangles << 0, 1, 2;
  EXPECT_NEAR(height_mm(triangle, 0), 10.0 / std::sqrt(29.0), 1e-15);  // 2 · area / longest side
}

}  // namespace
}  // namespace trammel
