#include "../../src/geometry/surface_tree.hpp"

#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <vector>

#include "support/shapes.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

/// Walks the tree down; every corner of a leaf's triangles must lie in all boxes above it.
void check_below(const SurfaceTree& tree, const Mesh& mesh, const wide::Node& node,
                 std::vector<int>& times_seen, std::vector<Eigen::AlignedBox3f> above) {
  for (int k = 0; k < wide::kLanes; ++k) {
    if (node.child[k] == wide::kNoChild) continue;
    std::vector<Eigen::AlignedBox3f> boxes = above;
    boxes.emplace_back(Eigen::Vector3f(node.low[0][k], node.low[1][k], node.low[2][k]),
                       Eigen::Vector3f(node.high[0][k], node.high[1][k], node.high[2][k]));
    if ((node.child[k] & wide::kLeafBit) == 0) {
      check_below(tree, mesh, tree.nodes[node.child[k]], times_seen, boxes);
      continue;
    }
    const wide::Leaf& leaf = tree.leaves[node.child[k] & ~wide::kLeafBit];
    for (int lane = 0; lane < wide::kLanes && leaf.triangle[lane] >= 0; ++lane) {
      ++times_seen[static_cast<std::size_t>(leaf.triangle[lane])];
      for (int c = 0; c < 3; ++c) {
        const Eigen::Vector3d corner =
            mesh.vertices_mm.col(mesh.triangles(c, leaf.triangle[lane])) - tree.center_mm;
        for (const auto& box : boxes)
          EXPECT_TRUE((corner.array() >= box.min().cast<double>().array()).all() &&
                      (corner.array() <= box.max().cast<double>().array()).all());
      }
    }
  }
}

TEST(SurfaceTree, HoldsEveryTriangleOnceInsideItsBoxes) {
  for (const double edge_mm : {1000.0, 20.0, 1.5}) {
    const Mesh mesh = test::refined(test::bracket(), edge_mm);
    const SurfaceTree tree = build_surface_tree(mesh);
    std::vector<int> times_seen(static_cast<std::size_t>(mesh.triangles.cols()), 0);
    check_below(tree, mesh, tree.nodes[0], times_seen, {});
    for (const int times : times_seen)
      EXPECT_EQ(times, 1);
  }
}

TEST(SurfaceTree, TakesAtMostSixtyBytesATriangle) {
  const Mesh mesh = test::refined(test::bracket(), 1.0);
  const SurfaceTree tree = build_surface_tree(mesh);
  const auto bytes =
      tree.nodes.size() * sizeof(wide::Node) + tree.leaves.size() * sizeof(wide::Leaf);
  EXPECT_LT(static_cast<double>(bytes), 60.0 * static_cast<double>(mesh.triangles.cols()));
}

TEST(SurfaceTree, IsTheSameOnAnyNumberOfThreads) {
  const Mesh mesh = test::refined(test::bracket(), 0.9);
  ASSERT_GT(mesh.triangles.cols(), 20000);  // enough for subtrees that are built side by side
  std::vector<SurfaceTree> trees;
  for (const int threads : {1, 2, 4}) {
    const ThreadLimit limit(threads);
    trees.push_back(build_surface_tree(mesh));
  }
  for (std::size_t i = 1; i < trees.size(); ++i) {
    ASSERT_EQ(trees[i].leaves.size(), trees[0].leaves.size());
    for (std::size_t k = 0; k < trees[0].leaves.size(); ++k)
      for (int lane = 0; lane < wide::kLanes; ++lane)
        ASSERT_EQ(trees[i].leaves[k].triangle[lane], trees[0].leaves[k].triangle[lane]);
  }
}

}  // namespace
}  // namespace trammel
