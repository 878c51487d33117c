#include "../../src/geometry/wall_patches.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"

namespace trammel::hole_walls {
namespace {

NearTriangles plate_with_a_hole() {
  return near_triangles(test::plate(60, 40, 3, {{{30, 20}, 8, 24}}), {30, 20, 3}, 100);
}

// 24 facets of two triangles each; every edge between facets leans inward by 15°.
TEST(WallPatches, CreasesOfAHoleLieAlongItsAxis) {
  const auto creases = inward_creases(plate_with_a_hole(), CreaseOrder::NearestFirst);
  ASSERT_EQ(creases.size(), 24U);
  for (const Crease& crease : creases) {
    EXPECT_NEAR(std::abs(crease.axis.z()), 1.0, 1e-12);
    EXPECT_NEAR(crease.turn_rad, 2 * 3.14159265358979 / 24, 1e-12);
  }
  EXPECT_LE(creases.front().distance_mm, creases.back().distance_mm);
}

TEST(WallPatches, APatchGrowsRoundTheWholeWallAndNoFarther) {
  const NearTriangles near = plate_with_a_hole();
  PatchGrower grower(near);
  const Crease first = inward_creases(near, CreaseOrder::NearestFirst).front();
  for (int round = 0; round < 2; ++round)  // its marks do not stay
    EXPECT_EQ(grower.grown(first.a, first.axis, kTurnLimits_rad[1]).size(), 48U);
  EXPECT_EQ(grower.grown(first.a, first.axis, 0.1).size(), 2U);
}

}  // namespace
}  // namespace trammel::hole_walls
