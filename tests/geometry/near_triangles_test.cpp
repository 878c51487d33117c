#include "trammel/geometry/near_triangles.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

TEST(NearTriangles, GathersTheWholeOfASmallDesign) {
  const Mesh box = test::box({0, 0, 0}, {1, 2, 3});
  const auto near = near_triangles(box, {0.5, 1, 1.5}, 10.0);
  EXPECT_TRUE(near.whole);
  EXPECT_EQ(near.size(), 12);
  EXPECT_NEAR(near.area_mm2.sum(), 2 * (2 + 3 + 6), 1e-12);
  for (int f = 0; f < near.size(); ++f) {
    for (int k = 0; k < 3; ++k) {
      EXPECT_GE(near.across(k, f), 0);
      EXPECT_FALSE(near.cut_off(f, k));
    }
  }
}

TEST(NearTriangles, KeepsOnlyWhatComesWithinTheReach) {
  const Mesh fine = test::refined(test::box({0, 0, 0}, {40, 40, 4}), 1.0);
  const Vector3d corner(0, 0, 0);
  const auto near = near_triangles(fine, corner, 5.0);
  EXPECT_FALSE(near.whole);
  EXPECT_LT(near.size(), fine.triangles.cols() / 10);
  for (int f = 0; f < near.size(); ++f) {
    const Vector3d nearest_corner =
        near.corner(f, 0).norm() < near.corner(f, 1).norm() ? near.corner(f, 0) : near.corner(f, 1);
    // The box touches the ball and no edge is longer than 1 mm, so every corner is within reach +
    // √3.
    EXPECT_LT(nearest_corner.norm(), 5.0 + 1.75);
    const int origin = near.origin[static_cast<std::size_t>(f)];
    EXPECT_EQ(near.corner(f, 0), Vector3d(fine.vertices_mm.col(fine.triangles(0, origin))));
  }
}

TEST(NearTriangles, TellsAnEdgeCutOffFromABorderOfTheDesign) {
  // An open strip along x: its long sides are true borders, its far end is cut by the reach.
  Mesh strip;
  strip.vertices_mm.resize(3, 22);
  strip.triangles.resize(3, 20);
  for (int i = 0; i < 11; ++i) {
    strip.vertices_mm.col(2 * i) << i, 0, 0;
    strip.vertices_mm.col(2 * i + 1) << i, 1, 0;
  }
  for (int i = 0; i < 10; ++i) {
    strip.triangles.col(2 * i) << 2 * i, 2 * i + 2, 2 * i + 1;
    strip.triangles.col(2 * i + 1) << 2 * i + 2, 2 * i + 3, 2 * i + 1;
  }
  const auto near = near_triangles(strip, {0, 0.5, 0}, 3.5);
  int borders = 0, cut = 0;
  for (int f = 0; f < near.size(); ++f) {
    for (int k = 0; k < 3; ++k) {
      if (near.across(k, f) >= 0) continue;
      ++(near.cut_off(f, k) ? cut : borders);
    }
  }
  // Squares [0, 1] … [3, 4] are gathered: the edge x = 4 is cut off, and the sides of the square
  // [3, 4] still come within the reach.
  EXPECT_EQ(near.size(), 8);
  EXPECT_EQ(cut, 1);
  EXPECT_EQ(borders, 1 + 2 * 4);
}

TEST(NearTriangles, LeavesOutTrianglesWithoutArea) {
  Mesh mesh = test::box({0, 0, 0}, {1, 1, 1});
  mesh.triangles.conservativeResize(3, 13);
  mesh.triangles.col(12) = mesh.triangles.col(0);
  mesh.triangles(2, 12) = mesh.triangles(1, 12);
  EXPECT_EQ(near_triangles(mesh, Vector3d::Zero(), 10.0).size(), 12);
}

}  // namespace
}  // namespace trammel
