#include "trammel/judge/flaw_shape.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

const Vector3d kOrigin(30, 20, 2.5);

TEST(FlawShape, AShrinkPullsEveryFaceTowardsTheMiddle) {
  const FlawShape shrink{FlawKind::Shrink, -1, -1, {}, false, false};
  // Face x = 60 of a box, 30 mm from the middle: 1 % smaller is 0.3 mm shy.
  const SurfacePlace end{{60, 11, 1}, {1, 0, 0}, 0};
  EXPECT_NEAR(-0.01 * shape_at(shrink, {}, kOrigin, end)[0], -0.3, 1e-12);
  const FlawShape along_y{FlawKind::Shrink, -1, -1, {1}, false, false};
  EXPECT_EQ(shape_at(along_y, {}, kOrigin, end)[0], 0.0);
}

TEST(FlawShape, BothFacesOfAWallMoveAsOneBody) {
  const auto flat = find_flat_faces(test::box({0, 0, 0}, {60, 40, 5}));
  const auto walls = find_walls(flat.faces, 12.0);
  ASSERT_EQ(walls.size(), 1u);
  const FlawShape lean{FlawKind::Lean, walls[0].front, walls[0].back, {}, false, false};
  const auto& front = flat.faces[static_cast<std::size_t>(walls[0].front)];
  const Vector3d p(50, 30, 0);
  const auto a = shape_at(lean, flat.faces, kOrigin, {p, front.normal, walls[0].front});
  const auto b = shape_at(lean, flat.faces, kOrigin, {p, -front.normal, walls[0].back});
  EXPECT_LT((a + b).norm(), 1e-12);
  EXPECT_GT(a.norm(), 1.0);
  const auto elsewhere = shape_at(lean, flat.faces, kOrigin, {p, {1, 0, 0}, 4});
  EXPECT_EQ(elsewhere.norm(), 0.0);
}

TEST(FlawShape, AMotionMakesTheDeviationThatItMoves) {
  // Turned by a small angle about Z through the middle, the point moves by angle × arm.
  const SurfacePlace at{{60, 11, 1}, Vector3d(1, 1, 0).normalized(), 0};
  const double angle = 1e-6;
  const Vector3d moved = Eigen::AngleAxisd(angle, Vector3d::UnitZ()) * (at.place_mm - kOrigin);
  const double deviation = at.normal.dot(moved + kOrigin - at.place_mm);
  // The turn's second order, angle² · arm / 2 with an arm of 31.3 mm, is 1.6e-11.
  EXPECT_NEAR(angle * motion_at(kOrigin, at)[2], deviation, 2e-11);
}

TEST(FlawShape, TriesTheNamedFacesAndTheirWallsOnly) {
  const auto flat = find_flat_faces(test::bracket());
  const auto walls = find_walls(flat.faces, 12.0);
  EXPECT_EQ(possible_shapes(walls, {}).size(), 9u);
  const auto shapes = possible_shapes(walls, {walls[0].front});
  EXPECT_EQ(shapes.size(), 9u + 6u + 6u);
}

}  // namespace
}  // namespace trammel
