#include "trammel/geometry/find_hole.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <utility>
#include <vector>

#include "support/shapes.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;

std::vector<Vector2d> rectangle(double width, double depth) {
  return {{0, 0}, {width, 0}, {width, depth}, {0, depth}};
}

/// Points on an arc, the end included; a falling angle runs clockwise, as holes must.
void append_arc(std::vector<Vector2d>& loop, Vector2d center, double radius, double from_deg,
                double to_deg, int segments) {
  for (int i = 0; i <= segments; ++i) {
    const double angle = (from_deg + (to_deg - from_deg) * i / segments) * kDegree;
    loop.push_back(center + radius * Vector2d(std::cos(angle), std::sin(angle)));
  }
}

Mesh block_with(std::vector<Vector2d> hole, double height = 5.0) {
  return test::extrude({rectangle(60, 40), std::move(hole)}, height);
}

/// Edges of a bore rounded over: profile turned about z, seen from the air inside.
Mesh turned(const std::vector<Vector2d>& radius_and_height, int segments) {
  const auto rows = static_cast<int>(radius_and_height.size());
  Mesh mesh;
  mesh.vertices_mm.resize(3, rows * segments);
  mesh.triangles.resize(3, 2 * (rows - 1) * segments);
  int triangle = 0;
  for (int s = 0; s < segments; ++s) {
    const double angle = 2 * kPi * s / segments;
    for (int r = 0; r < rows; ++r) {
      const Vector2d& at = radius_and_height[static_cast<std::size_t>(r)];
      mesh.vertices_mm.col(s * rows + r) << at.x() * std::cos(angle), at.x() * std::sin(angle),
          at.y();
    }
    const int next = (s + 1) % segments;
    for (int r = 0; r + 1 < rows; ++r) {
      // Upward profile with the air inside: counter-clockwise seen from the axis.
      mesh.triangles.col(triangle++) << s * rows + r, s * rows + r + 1, next * rows + r;
      mesh.triangles.col(triangle++) << next * rows + r, s * rows + r + 1, next * rows + r + 1;
    }
  }
  return mesh;
}

class FindHoleAtAnyTessellation : public testing::TestWithParam<int> {};

TEST_P(FindHoleAtAnyTessellation, GivesTheCircleOfTheVertices) {
  const Mesh plate = test::plate(90, 60, 3, {{{30, 20}, 8.4, GetParam()}});
  const auto hole = find_hole(plate, {30, 20, 3});
  ASSERT_TRUE(hole);
  EXPECT_NEAR(hole->radius_mm, 4.2, 1e-9);
  EXPECT_LT((hole->center_mm - Vector3d(30, 20, 3)).norm(), 1e-9);
  EXPECT_LT((hole->axis - Vector3d::UnitZ()).norm(), 1e-9);
  EXPECT_NEAR(hole->low_mm, -3.0, 1e-9);
  EXPECT_NEAR(hole->high_mm, 0.0, 1e-9);
  EXPECT_EQ(hole->triangles.size(), static_cast<std::size_t>(2 * GetParam()));
}

TEST_P(FindHoleAtAnyTessellation, IgnoresVerticesInTheMiddleOfFacets) {
  const Mesh plate = test::refined(test::plate(40, 40, 6, {{{20, 20}, 10.0, GetParam()}}), 0.9);
  const auto hole = find_hole(plate, {20, 20, 0});
  ASSERT_TRUE(hole);
  EXPECT_NEAR(hole->radius_mm, 5.0, 1e-9);
  EXPECT_NEAR(hole->depth_mm(), 6.0, 1e-9);
  EXPECT_LT((hole->axis + Vector3d::UnitZ()).norm(), 1e-9);
}

INSTANTIATE_TEST_SUITE_P(Segments, FindHoleAtAnyTessellation,
                         testing::Values(8, 12, 16, 24, 48, 180, 720));

TEST(FindHole, ChoosesTheNearestOfSeveral) {
  const Mesh plate =
      test::plate(90, 60, 3, {{{20, 20}, 8, 48}, {{45, 20}, 12, 48}, {{70, 20}, 8, 48}});
  for (const double x : {20.0, 45.0, 70.0}) {
    const auto hole = find_hole(plate, {x + 3, 18, 5});
    ASSERT_TRUE(hole);
    EXPECT_NEAR(hole->center_mm.x(), x, 1e-9);
    EXPECT_NEAR(hole->radius_mm, x == 45.0 ? 6.0 : 4.0, 1e-9);
  }
}

TEST(FindHole, FindsNothingFarFromAnyHole) {
  const Mesh plate = test::plate(90, 60, 3, {{{20, 20}, 8, 48}});
  EXPECT_FALSE(find_hole(plate, {70, 40, 3}));
  EXPECT_FALSE(find_hole(test::box({0, 0, 0}, {10, 10, 10}), {5, 5, 10}));
}

TEST(FindHole, FindsNothingOnTheOutsideOfARod) {
  EXPECT_FALSE(find_hole(test::cylinder(5, 20, 48), {0, 0, 10}));
}

TEST(FindHole, FollowsTheDesignWhereverItLies) {
  const Eigen::Isometry3d motion = Eigen::Translation3d(150, -80, 33) *
                                   Eigen::AngleAxisd(1.1, Vector3d(1, -2, 0.5).normalized());
  const Mesh plate = test::moved(test::plate(90, 60, 3, {{{30, 20}, 8.4, 32}}), motion);
  const auto hole = find_hole(plate, motion * Vector3d(31, 20, 4));
  ASSERT_TRUE(hole);
  EXPECT_NEAR(hole->radius_mm, 4.2, 1e-9);
  EXPECT_LT((hole->center_mm - motion * Vector3d(30, 20, 3)).norm(), 1e-9);
  EXPECT_LT((hole->axis - motion.linear() * Vector3d::UnitZ()).norm(), 1e-9);
}

TEST(FindHole, ReadsCoordinatesRoundedToFloats) {
  // As STL stores them; at 400 mm a float is good to 1.5e-5 mm.
  Mesh plate = test::moved(test::plate(90, 60, 3, {{{30, 20}, 8.4, 48}}),
                           Eigen::Isometry3d(Eigen::Translation3d(331.7, 290.3, 112.9)));
  plate.vertices_mm = plate.vertices_mm.cast<float>().cast<double>();
  const auto hole = find_hole(plate, Vector3d(361.7, 310.3, 115.9));
  ASSERT_TRUE(hole);
  EXPECT_NEAR(hole->radius_mm, 4.2, 3e-5);
  EXPECT_LT((hole->center_mm - Vector3d(361.7, 310.3, 115.9)).norm(), 6e-5);
}

// Programs that write text often keep six digits: 0.0005 mm beyond 100 mm. A hole that lies across
// 100 mm has corners that are exact and some that are not, and those were not taken for its wall.
TEST(FindHole, ReadsCoordinatesRoundedToSixDigits) {
  Rng rng(4);
  int found = 0;
  for (int k = 0; k < 40; ++k) {
    const Vector2d at(0.05 * std::round(rng.uniform(1980.0, 2000.0)),
                      std::round(rng.uniform(10, 30)));
    const double diameter = 0.5 * std::round(rng.uniform(8.0, 14.0));
    Mesh plate = test::plate(200, 40, 2, {{at, diameter, 96}});
    plate.vertices_mm = plate.vertices_mm.unaryExpr(&test::to_six_digits).eval();
    const auto hole = find_hole(plate, Vector3d(at.x(), at.y(), 2));
    if (!hole) continue;
    ++found;
    EXPECT_NEAR(2.0 * hole->radius_mm, diameter, 0.002);
  }
  EXPECT_EQ(found, 40);
}

TEST(FindHole, ALastDigitDoesNotTurnTheAxisOfAHoleThatIsNamedAtMidDepth) {
  // Laid so that its axis runs along Z, Y and X, with the point in the middle but for rounding.
  const Mesh flat = test::plate(90, 60, 3, {{{30, 20}, 8.4, 32}});
  const Vector3d x = Vector3d::UnitX(), y = Vector3d::UnitY(), z = Vector3d::UnitZ();
  for (const auto& [turn, wanted] : {std::pair<Eigen::AngleAxisd, Vector3d>{{0.0, x}, z},
                                     {{kPi, x}, z},
                                     {{kPi / 2, x}, -y},
                                     {{-kPi / 2, x}, -y},
                                     {{kPi / 2, y}, x},
                                     {{-kPi / 2, y}, x}}) {
    const Eigen::Isometry3d motion = Eigen::Translation3d(331.7, 290.3, 112.9) * turn;
    Mesh plate = test::moved(flat, motion);
    plate.vertices_mm = plate.vertices_mm.cast<float>().cast<double>();
    for (const double off : {-1e-7, 0.0, 1e-7}) {
      const auto hole = find_hole(plate, motion * Vector3d(30, 20, 1.5 + off));
      ASSERT_TRUE(hole);
      EXPECT_GT(hole->axis.dot(wanted), 0.999) << hole->axis.transpose() << " off " << off;
      EXPECT_NEAR(hole->low_mm, -1.5, 1e-4);
      EXPECT_NEAR(hole->high_mm, 1.5, 1e-4);
    }
    // Beyond doubt nearer to one mouth it points out of that one.
    for (const double end : {1.4, 1.6}) {
      const auto hole = find_hole(plate, motion * Vector3d(30, 20, end));
      ASSERT_TRUE(hole);
      EXPECT_GT(hole->axis.dot(motion.linear() * z) * (end - 1.5), 0.09);
    }
  }
}

TEST(FindHole, JoinsAWallCutAlongItsLength) {
  // Two keyways of 1.6 mm part the wall of a Ø16 hole into two halves of 168.5°.
  std::vector<Vector2d> loop;
  const double half_deg = std::asin(0.8 / 8.0) * 180 / kPi;
  append_arc(loop, {30, 20}, 8, 180 - half_deg, half_deg, 22);
  loop.insert(loop.end(), {{40, 20.8}, {40, 19.2}});
  append_arc(loop, {30, 20}, 8, -half_deg, -180 + half_deg, 22);
  loop.insert(loop.end(), {{20, 19.2}, {20, 20.8}});
  const auto hole = find_hole(block_with(loop), {30, 20, 5});
  ASSERT_TRUE(hole);
  EXPECT_NEAR(hole->radius_mm, 8.0, 1e-9);
  EXPECT_LT((hole->center_mm - Vector3d(30, 20, 5)).norm(), 1e-9);
  EXPECT_EQ(hole->triangles.size(), 88u);
}

TEST(FindHole, DoesNotTakeASlotForAHole) {
  for (const double length : {0.5, 2.0, 10.0}) {
    std::vector<Vector2d> loop;
    append_arc(loop, {30 + length, 20}, 4, 90, -90, 24);
    append_arc(loop, {30, 20}, 4, -90, -270, 24);
    EXPECT_FALSE(find_hole(block_with(loop), {30 + length / 2, 20, 5})) << length;
  }
}

TEST(FindHole, DoesNotTakeAnEllipseForAHole) {
  std::vector<Vector2d> loop;
  for (int i = 48; i > 0; --i)
    loop.emplace_back(30 + 6.2 * std::cos(2 * kPi * i / 48), 20 + 6.0 * std::sin(2 * kPi * i / 48));
  EXPECT_FALSE(find_hole(block_with(loop), {30, 20, 5}));
}

TEST(FindHole, DoesNotTakeRoundedPocketCornersForAHole) {
  std::vector<Vector2d> loop;
  append_arc(loop, {36, 26}, 4, 90, 0, 12);
  append_arc(loop, {36, 14}, 4, 0, -90, 12);
  append_arc(loop, {24, 14}, 4, -90, -180, 12);
  append_arc(loop, {24, 26}, 4, -180, -270, 12);
  EXPECT_FALSE(find_hole(block_with(loop), {36, 26, 5}));
}

TEST(FindHole, DoesNotTakeTheInsideOfABendForAHole) {
  // An L of sheet: inner radius 3, outer 6.
  std::vector<Vector2d> loop{{0, 40}, {0, 6}};
  append_arc(loop, {6, 6}, 6, 180, 270, 16);
  loop.insert(loop.end(), {{40, 0}, {40, 3}});
  append_arc(loop, {6, 6}, 3, 270, 180, 16);
  loop.emplace_back(3, 40);
  EXPECT_FALSE(find_hole(test::extrude({loop}, 50), {6, 6, 25}));
}

TEST(FindHole, FindsAHoleAtTheBottomOfACounterbore) {
  // Ø15 from z = 5 up, Ø9 below, a flat ring between them.
  const Mesh bore = turned({{4.5, 0}, {4.5, 5}, {7.5, 5}, {7.5, 10}}, 48);
  const auto small = find_hole(bore, {0, 0, 0});
  ASSERT_TRUE(small);
  EXPECT_NEAR(small->radius_mm, 4.5, 1e-9);
  EXPECT_NEAR(small->depth_mm(), 5.0, 1e-9);
  const auto large = find_hole(bore, {6, 0, 9});  // beside its wall
  ASSERT_TRUE(large);
  EXPECT_NEAR(large->radius_mm, 7.5, 1e-9);
}

TEST(FindHole, LeavesChamferAndRoundedMouthOut) {
  // 45° chamfer below; above, the mouth runs out in a fillet of radius 2, smoother than the wall.
  std::vector<Vector2d> profile{{6, 0}, {5, 1}, {5, 8}};
  for (int i = 1; i <= 12; ++i) {
    const double angle = kPi / 2 * i / 12;
    profile.emplace_back(7 - 2 * std::cos(angle), 8 + 2 * std::sin(angle));
  }
  const auto hole = find_hole(turned(profile, 24), {0, 0, 10});
  ASSERT_TRUE(hole);
  EXPECT_LT(hole->axis.cross(Vector3d::UnitZ()).norm(), 1e-6);
  EXPECT_NEAR(hole->radius_mm, 5.0, 1e-9);
  EXPECT_NEAR(hole->depth_mm(), 7.0, 1e-9);
}

TEST(FindHole, TakesOneSheetsWallWhereTwoHaveTheSameHole) {
  const auto sheet = [](double z) {
    return test::moved(test::plate(40, 40, 3, {{{20, 20}, 9, 36}}),
                       Eigen::Isometry3d(Eigen::Translation3d(0, 0, z)));
  };
  const auto hole = find_hole(test::together({sheet(0), sheet(20)}), {20, 20, 24});
  ASSERT_TRUE(hole);
  EXPECT_NEAR(hole->depth_mm(), 3.0, 1e-9);
  EXPECT_LT((hole->center_mm - Vector3d(20, 20, 23)).norm(), 1e-9);
  EXPECT_LT((hole->axis - Vector3d::UnitZ()).norm(), 1e-9);
}

TEST(FindHole, FindsEveryHoleOfTheBracket) {
  const Mesh bracket = test::bracket();
  const struct {
    Vector3d at;
    double diameter;
  } holes[] = {{{40, 15, 3}, 8.4}, {{70, 44, 0}, 8.4}, {{0, 12, 40}, 6.6}, {{3, 34, 28}, 22.0}};
  for (const auto& [at, diameter] : holes) {
    const auto hole = find_hole(bracket, at);
    ASSERT_TRUE(hole) << at.transpose();
    EXPECT_NEAR(2 * hole->radius_mm, diameter, 1e-9);
    EXPECT_LT((hole->center_mm - at).norm(), 1e-9);
  }
}

TEST(FindHole, FindsALongBoreThatReachesFarFromThePoint) {
  // Fine rings: the search starts near the mouth and must follow the wall to its far end.
  std::vector<Vector2d> profile;
  for (int i = 0; i <= 300; ++i)
    profile.emplace_back(4.0, i);
  const auto hole = find_hole(turned(profile, 24), {0, 0, 300});
  ASSERT_TRUE(hole);
  EXPECT_NEAR(hole->depth_mm(), 300.0, 1e-9);
  EXPECT_EQ(hole->triangles.size(), 300u * 48u);
}

}  // namespace
}  // namespace trammel
