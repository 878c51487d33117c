#include "trammel/geometry/find_pin.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "support/solid_builder.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

/// A plate of 60 × 40 × 4 mm with a boss on it, 10 mm across and 9 mm high, that has a bore of 4 mm
/// in its middle; and a hole of 6 mm beside it.
Mesh bossed_plate(int segments) {
  const Vector3d kUp = Vector3d::UnitZ();
  const test::Loop outline{{0, 0, 0}, {60, 0, 0}, {60, 40, 0}, {0, 40, 0}};
  const test::Loop foot = test::circle({20, 15, 4}, kUp, 10, segments);
  const test::Loop bore = test::circle({20, 15, 7}, kUp, 4, segments);
  const test::Loop hole = test::circle({45, 25, 0}, kUp, 6, segments);
  test::SolidBuilder solid;
  solid.wall(outline, 4 * kUp);
  solid.hole_wall(hole, 4 * kUp);
  solid.face({outline, hole}, -kUp);
  solid.wall(foot, 9 * kUp);
  solid.face({test::shifted(outline, 4 * kUp), foot, test::shifted(hole, 4 * kUp)}, kUp);
  solid.hole_wall(bore, 6 * kUp);
  solid.face({bore}, kUp);
  solid.face({test::shifted(foot, 9 * kUp), test::shifted(bore, 6 * kUp)}, kUp);
  return solid.build();
}

TEST(FindPin, GivesTheCircleOfTheVerticesAtAnyTessellation) {
  for (const int segments : {12, 24, 64}) {
    const auto pin = find_pin(bossed_plate(segments), {20, 15, 13});
    ASSERT_TRUE(pin) << segments;
    EXPECT_EQ(pin->kind, RoundKind::Pin);
    EXPECT_NEAR(pin->radius_mm, 5.0, 1e-9);
    EXPECT_LT((pin->center_mm - Vector3d(20, 15, 13)).norm(), 1e-9);
    EXPECT_LT((pin->axis - Vector3d::UnitZ()).norm(), 1e-9);
    EXPECT_NEAR(pin->low_mm, -9.0, 1e-9);
    EXPECT_NEAR(pin->high_mm, 0.0, 1e-9);
    EXPECT_EQ(pin->triangles.size(), static_cast<std::size_t>(2 * segments));
  }
}

TEST(FindPin, ItsTrianglesAreThoseOfTheDesign) {
  const Mesh design = bossed_plate(32);
  const auto pin = find_pin(design, {20, 15, 13});
  ASSERT_TRUE(pin);
  for (const int t : pin->triangles) {
    for (int k = 0; k < 3; ++k) {
      const Vector3d arm = design.vertices_mm.col(design.triangles(k, t)) - pin->center_mm;
      EXPECT_NEAR(std::hypot(arm.x(), arm.y()), 5.0, 1e-9);
    }
  }
}

TEST(FindPin, ABoreAndAHoleAreNone) {
  const Mesh design = bossed_plate(48);
  const auto bore = find_hole(design, {20, 15, 13});
  ASSERT_TRUE(bore);
  EXPECT_EQ(bore->kind, RoundKind::Hole);
  EXPECT_NEAR(bore->radius_mm, 2.0, 1e-9);
  EXPECT_FALSE(find_pin(test::plate(60, 40, 4, {{{30, 20}, 8.0, 48}}), {30, 20, 4}));
}

TEST(FindPin, RoundedEdgesAndNoMeshAreNone) {
  EXPECT_FALSE(find_pin(test::box({0, 0, 0}, {20, 10, 5}), {10, 5, 5}));
  EXPECT_FALSE(find_pin(Mesh{}, {0, 0, 0}));
}

}  // namespace
}  // namespace trammel
