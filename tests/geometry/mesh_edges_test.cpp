#include "trammel/geometry/mesh_edges.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"

namespace trammel {
namespace {

TEST(MeshEdges, AreEulersNumberOnAClosedSphere) {
  const Mesh sphere = test::sphere(10.0, 2);
  const auto uses = sorted_edge_uses(sphere.triangles, sphere.vertices_mm.cols());
  long edges = 0;
  for_each_edge(uses, [&](const EdgeUse*, const EdgeUse*) { ++edges; });
  EXPECT_EQ(sphere.vertices_mm.cols() - edges + sphere.triangles.cols(), 2);  // Euler, genus 0
  const EdgeCounts counts = count_edges(uses);
  EXPECT_EQ(counts.open + counts.non_manifold + counts.mixed_winding, 0U);
}

TEST(MeshEdges, TellOpenSharedMixedAndCrowdedEdgesApart) {
  Eigen::Matrix3Xi triangles(3, 4);
  // 0-1 has three triangles; 1-2 has two that run along it the same way; the others one.
  triangles.transpose() << 0, 1, 2, 0, 1, 3, 0, 1, 4, 1, 2, 5;
  const EdgeCounts counts = count_edges(sorted_edge_uses(triangles, 6));
  EXPECT_EQ(counts.non_manifold, 1U);
  EXPECT_EQ(counts.mixed_winding, 1U);
  EXPECT_EQ(counts.open, 7U);  // 12 sides less 3 less 2
}

TEST(MeshEdges, NumberPiecesInTheOrderOfTheirFirstTriangle) {
  Eigen::Matrix3Xi triangles(3, 4);
  triangles.transpose() << 0, 1, 2, 3, 4, 5, 2, 1, 6, 5, 4, 7;
  const Pieces pieces = pieces_by_edges(sorted_edge_uses(triangles, 8), 4);
  EXPECT_EQ(pieces.count, 2);
  EXPECT_EQ(pieces.piece, (std::vector<int>{0, 1, 0, 1}));
}

}  // namespace
}  // namespace trammel
