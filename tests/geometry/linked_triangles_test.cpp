#include "trammel/geometry/linked_triangles.hpp"

#include <gtest/gtest.h>

#include <utility>

#include "support/shapes.hpp"
#include "trammel/geometry/mesh_topology.hpp"

namespace trammel {
namespace {

using Eigen::Index;

/// Whatever was done to them, the links are those that the mesh itself has.
void expect_linked(const LinkedTriangles& links) {
  LinkedTriangles copy = links;
  const Mesh mesh = std::move(copy).take_mesh();
  ASSERT_EQ(mesh.triangles.cols(), links.count());
  const Eigen::Matrix3Xi across = edge_neighbours(mesh).across;
  for (int t = 0; t < links.count(); ++t) {
    for (int side = 0; side < 3; ++side) {
      const auto edge = links.shared(t, side);
      EXPECT_EQ(edge ? edge->other : -1, across(side, t)) << t << " " << side;
    }
  }
}

TEST(LinkedTriangles, KeepsItsLinksAreaAndVolumeThroughSwingsAndHalvings) {
  LinkedTriangles links(test::box({0, 0, 0}, {8, 6, 4}));
  for (int round = 0; round < 40; ++round) {
    const int t = (7 * round) % links.count(), side = round % 3;
    const auto edge = links.shared(t, side);
    ASSERT_TRUE(edge.has_value());
    // A swing keeps the surface only within a face.
    const bool is_flat = links.twice_area(edge->t).normalized().dot(
                             links.twice_area(edge->other).normalized()) > 0.999;
    const Eigen::Vector3d up = links.twice_area(edge->t);
    const bool is_convex = links.twice_area(edge->a, edge->d, edge->c).dot(up) > 1e-9 &&
                           links.twice_area(edge->d, edge->b, edge->c).dot(up) > 1e-9;
    if (round % 2 == 0 && is_flat && is_convex) {
      links.swing(*edge);
    } else {
      links.halve(*edge);
    }
    expect_linked(links);
  }
  const Mesh mesh = std::move(links).take_mesh();
  EXPECT_GT(mesh.triangles.cols(), 40);
  EXPECT_NEAR(surface_area_mm2(mesh), 208.0, 1e-9);   // 2 (8·6 + 6·4 + 8·4)
  EXPECT_NEAR(signed_volume_mm3(mesh), 192.0, 1e-9);  // 8·6·4
}

TEST(LinkedTriangles, BothTrianglesOfAnEdgeAgreeOnEqualSides) {
  LinkedTriangles links(test::sphere(10.0, 2));
  for (int t = 0; t < links.count(); ++t) {
    const int longest = links.longest_side(t);
    const auto corners = links.corners(t);
    const auto at = [&](int v) { return links.place(v); };
    const std::array<int, 3> turned = {corners[1], corners[2], corners[0]};
    EXPECT_EQ((longest_side(turned, at) + 1) % 3, longest);
    EXPECT_GE(links.length2(t, longest), links.length2(t, longest + 1));
    EXPECT_GE(links.length2(t, longest), links.length2(t, longest + 2));
  }
}

TEST(LinkedTriangles, SharesNothingAtABorderOrAgainstTheWinding) {
  Mesh two;
  two.vertices_mm.resize(3, 4);
  two.vertices_mm.transpose() << 0, 0, 0, 2, 0, 0, 0, 2, 0, 2, 2, 0;
  two.triangles.resize(3, 2);
  two.triangles.transpose() << 0, 1, 2, 1, 3, 2;
  EXPECT_FALSE(LinkedTriangles(two).shared(0, 0).has_value());
  ASSERT_TRUE(LinkedTriangles(two).shared(0, 1).has_value());
  EXPECT_EQ(LinkedTriangles(two).shared(0, 1)->d, 3);
  two.triangles.col(1) << 3, 1, 2;
  EXPECT_FALSE(LinkedTriangles(two).shared(0, 1).has_value());
}

}  // namespace
}  // namespace trammel
