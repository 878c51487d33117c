#include "trammel/geometry/flat_faces.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

TEST(FlatFaces, FindsTheSixFacesOfABoxWithTheirSizes) {
  const FlatFaces found = find_flat_faces(test::box({0, 0, 0}, {60, 40, 5}));
  ASSERT_EQ(found.faces.size(), 6u);
  const FlatFace& largest = found.faces.front();
  EXPECT_NEAR(largest.area_mm2, 2400.0, 1e-9);
  EXPECT_NEAR(largest.half_u_mm, 30.0, 1e-9);
  EXPECT_NEAR(largest.half_v_mm, 20.0, 1e-9);
  EXPECT_NEAR(std::abs(largest.u.x()), 1.0, 1e-12);
  EXPECT_NEAR(std::abs(largest.normal.z()), 1.0, 1e-12);
  EXPECT_EQ(found.face_of.minCoeff(), 0);
}

TEST(FlatFaces, FollowsTheSidesOfASquareFaceThatIsTurned) {
  const Eigen::Isometry3d turn(Eigen::AngleAxisd(0.3, Vector3d(1, 2, 3).normalized()));
  const FlatFaces found = find_flat_faces(test::moved(test::box({0, 0, 0}, {40, 40, 5}), turn));
  const Vector3d side = turn.linear().col(0);
  const FlatFace& face = found.faces.front();
  EXPECT_NEAR(std::max(std::abs(face.u.dot(side)), std::abs(face.v.dot(side))), 1.0, 1e-9);
  EXPECT_NEAR(face.half_u_mm, 20.0, 1e-9);
}

TEST(FlatFaces, ARoundIsNoFace) {
  const FlatFaces found = find_flat_faces(test::cylinder(10, 30, 64));
  EXPECT_EQ(found.faces.size(), 2u);
  const FlatFaces ball = find_flat_faces(test::sphere(10, 3));
  EXPECT_TRUE(ball.faces.empty());
  EXPECT_EQ(ball.face_of.maxCoeff(), -1);
}

TEST(FlatFaces, TheBracketIsMadeOfTwoWalls) {
  const FlatFaces found = find_flat_faces(test::bracket());
  const std::vector<Wall> walls = find_walls(found.faces, 12.0);
  ASSERT_EQ(walls.size(), 2u);  // base and upright, 3 mm both
  for (const Wall& wall : walls)
    EXPECT_NEAR(wall.thickness_mm, 3.0, 1e-9);
}

TEST(FlatFaces, FacesAcrossAnOpenSpaceAreNoWall) {
  // Two plates 4 mm apart: the faces that look at each other have air between.
  const Mesh two =
      test::together({test::box({0, 0, 0}, {60, 40, 5}), test::box({0, 0, 9}, {60, 40, 14})});
  const std::vector<Wall> walls = find_walls(find_flat_faces(two).faces, 4.5);
  EXPECT_TRUE(walls.empty());
}

}  // namespace
}  // namespace trammel
