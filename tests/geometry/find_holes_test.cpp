#include "trammel/geometry/find_holes.hpp"

#include <gtest/gtest.h>

#include <chrono>

#include "support/shapes.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

/// Whether there is one such hole; the centre is at mid depth.
::testing::AssertionResult has_hole(const FoundHoles& found, const Vector3d& center_mm,
                                    double diameter_mm, double depth_mm) {
  int count = 0;
  for (const DesignHole& hole : found.holes) {
    if ((hole.center_mm - center_mm).norm() < 1e-6 &&
        std::abs(2.0 * hole.radius_mm - diameter_mm) < 1e-6 &&
        std::abs(hole.depth_mm() - depth_mm) < 1e-6)
      ++count;
  }
  if (count == 1) return ::testing::AssertionSuccess();
  return ::testing::AssertionFailure()
         << count << " holes of " << diameter_mm << " mm at " << center_mm.transpose();
}

TEST(FindHoles, FindsEveryHoleOfTheBracket) {
  const FoundHoles found = find_holes(test::bracket());
  EXPECT_TRUE(found.complete);
  EXPECT_EQ(found.holes.size(), 4U);
  EXPECT_TRUE(has_hole(found, {40, 15, 1.5}, 8.4, 3));
  EXPECT_TRUE(has_hole(found, {70, 44, 1.5}, 8.4, 3));
  EXPECT_TRUE(has_hole(found, {1.5, 12, 40}, 6.6, 3));
  EXPECT_TRUE(has_hole(found, {1.5, 34, 28}, 22, 3));
}

// Four blind holes in bosses, two through the floor, one through a wall (shapes.hpp).
TEST(FindHoles, FindsBlindHolesAsWellAsThroughHoles) {
  const FoundHoles found = find_holes(test::housing());
  EXPECT_EQ(found.holes.size(), 7U);
  EXPECT_TRUE(has_hole(found, {20, 37, 1.5}, 6.6, 3));
  EXPECT_TRUE(has_hole(found, {92, 30, 1.5}, 6.6, 3));
  EXPECT_TRUE(has_hole(found, {78, 1.2, 22}, 14, 2.4));
}

TEST(FindHoles, FindsCoarseAndFineOnesInAnyPose) {
  Eigen::Isometry3d motion(Eigen::AngleAxisd(0.7, Vector3d(1, 2, 3).normalized()));
  motion.pretranslate(Vector3d(100, -50, 20));
  for (const int facets : {8, 12, 24, 200}) {
    const Mesh plate = test::moved(
        test::plate(60, 40, 3, {{{12, 20}, 8.4, facets}, {{40, 20}, 20, facets}}), motion);
    const FoundHoles found = find_holes(plate);
    EXPECT_EQ(found.holes.size(), 2U) << facets;
    EXPECT_TRUE(has_hole(found, motion * Vector3d(12, 20, 1.5), 8.4, 3)) << facets;
    EXPECT_TRUE(has_hole(found, motion * Vector3d(40, 20, 1.5), 20, 3)) << facets;
  }
}

TEST(FindHoles, SlotsPinsFilletsAndBallsAreNoHoles) {
  std::vector<Eigen::Vector2d> slot, corner{{0, 0}, {40, 0}, {40, 10}};
  for (int i = 0; i <= 24; ++i) {  // clockwise: two half circles
    const double turn = -kPi * i / 24;
    slot.emplace_back(30 + 4 * std::cos(turn + 0.5 * kPi), 15 + 4 * std::sin(turn + 0.5 * kPi));
  }
  for (int i = 0; i <= 24; ++i) {
    const double turn = -kPi * i / 24;
    slot.emplace_back(20 + 4 * std::cos(turn - 0.5 * kPi), 15 + 4 * std::sin(turn - 0.5 * kPi));
  }
  EXPECT_TRUE(
      find_holes(test::extrude({{{0, 0}, {60, 0}, {60, 30}, {0, 30}}, slot}, 5)).holes.empty());
  for (int i = 0; i <= 24; ++i) {  // the inner corner of an angle, rounded
    const double turn = 1.5 * kPi - 0.5 * kPi * i / 24;
    corner.emplace_back(15 + 5 * std::cos(turn), 15 + 5 * std::sin(turn));
  }
  corner.insert(corner.end(), {{10, 40}, {0, 40}});
  EXPECT_TRUE(find_holes(test::extrude({corner}, 30)).holes.empty());
  EXPECT_TRUE(find_holes(test::cylinder(10, 30, 64)).holes.empty());
  EXPECT_TRUE(find_holes(test::sphere(10, 3)).holes.empty());
  EXPECT_TRUE(find_holes(Mesh{}).holes.empty());
}

TEST(FindHoles, AgreesWithFindHoleAtEachOfThem) {
  const Mesh design = test::housing();
  for (const DesignHole& hole : find_holes(design).holes) {
    const auto one = find_hole(design, hole.center_mm);
    ASSERT_TRUE(one.has_value());
    EXPECT_EQ(one->triangles, hole.triangles);
  }
}

// A scan used as design is all creases: the search ends, and says so if it was broken off.
TEST(FindHoles, EndsOnASurfaceAllOfCreases) {
  Rng rng(3);
  const Mesh rough = test::displaced(test::refined(test::bracket(), 0.8), [&](const Vector3d&) {
    return Vector3d(0.03 * rng.normal(), 0.03 * rng.normal(), 0.03 * rng.normal());
  });
  ASSERT_GT(rough.triangles.cols(), 40000);
  const auto start = std::chrono::steady_clock::now();
  const FoundHoles found = find_holes(rough);
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;
  EXPECT_LT(took.count(), 60.0);
  EXPECT_LE(found.holes.size(), 4U);
}

}  // namespace
}  // namespace trammel
