#include "../../src/geometry/hole_walls.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"

namespace trammel::hole_walls {
namespace {

using Eigen::Vector3d;

NearTriangles plate_around(const Vector3d& at_mm, double reach_mm) {
  return near_triangles(test::plate(60, 40, 3, {{{30, 20}, 8, 24}}), at_mm, reach_mm);
}

TEST(HoleWalls, AWallBeyondTheReachIsCutOff) {
  const FindHoleSettings settings;
  const auto kind = [&](const NearTriangles& near) {
    PatchGrower grower(near);
    const Crease first = inward_creases(near, CreaseOrder::NearestFirst).front();
    Patch wall;
    return examine(near, grower.grown(first.a, first.axis, kTurnLimits_rad[1]), settings, wall)
        .kind;
  };
  EXPECT_EQ(kind(plate_around({30, 20, 3}, 100)), Kind::Hole);
  EXPECT_NE(kind(plate_around({34, 20, 3}, 3)), Kind::Hole);
}

}  // namespace
}  // namespace trammel::hole_walls
