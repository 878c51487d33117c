#include "../../src/geometry/sharpen_by_wall.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "support/wall_points.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;
using test::OrientedPoints;
using test::wall_of;

constexpr double kWallNoise_mm = 0.03;

DesignHole drawn_of_8() {
  DesignHole hole;
  hole.radius_mm = 4.0;
  hole.high_mm = 3.0;
  return hole;
}

/// Off by 0.1 mm both ways, which is one standard error.
MeasuredHole told_by_rims() {
  MeasuredHole rims;
  rims.status = HoleStatus::Measured;
  rims.rims = 2;
  rims.offset_mm = {0.1, -0.1, 0};
  rims.worst_offset_mm = std::hypot(0.1, 0.1);
  rims.diameter_mm = 8.1;
  rims.narrowest_mm = 8.06;
  rims.center_error_mm = 0.1;
  rims.diameter_error_mm = 0.1;
  rims.points = 80;
  return rims;
}

OrientedPoints part_of_wall(int count, double to_deg, double radius, std::uint64_t seed) {
  test::WallShape shape;
  shape.radius_mm = radius;
  shape.to_deg = to_deg;
  shape.noise_mm = kWallNoise_mm;
  return wall_of(shape, count, Rng(seed));
}

MeasuredHole sharpened(const OrientedPoints& wall) {
  return sharpened_by_wall(wall.points_mm, wall.normals, drawn_of_8(), told_by_rims(),
                           kWallNoise_mm, 0.0);
}

// Twelve points all round: σ of a coordinate is 0.03 · √(2/12), of the diameter 2 · 0.03 / √12;
// four of them, and what the rims still pull.
TEST(SharpenByWall, TakesTheWallsWordWhereItIsTheSurer) {
  for (std::uint64_t seed = 1; seed <= 20; ++seed) {
    const MeasuredHole out = sharpened(part_of_wall(12, 360.0, 4.0, seed));
    EXPECT_LT(out.offset_mm.norm(), 5.0 * 0.0122) << seed;
    EXPECT_NEAR(out.diameter_mm, 8.0, 5.0 * 0.0173) << seed;
    EXPECT_LT(out.center_error_mm, 0.04) << seed;
    EXPECT_LT(out.diameter_error_mm, 0.05) << seed;
    EXPECT_NEAR(out.diameter_mm - out.narrowest_mm, 0.04, 1e-12);
    EXPECT_LE(out.points, 92);
  }
}

// Sheared by 0.6 mm over its depth of 3 mm; the rims say 0.75 mm.
TEST(SharpenByWall, BettersALeanThatTheRimsTell) {
  OrientedPoints wall = part_of_wall(40, 360.0, 4.0, 3);
  for (Eigen::Index i = 0; i < wall.points_mm.cols(); ++i)
    wall.points_mm(0, i) += 0.2 * (wall.points_mm(2, i) - 1.5);
  MeasuredHole leaning = told_by_rims();
  leaning.tilted = true;
  leaning.axis = Vector3d(0.25, 0, 1).normalized();
  leaning.worst_offset_mm = std::hypot(0.475, 0.1);
  const MeasuredHole out =
      sharpened_by_wall(wall.points_mm, wall.normals, drawn_of_8(), leaning, kWallNoise_mm, 0.0);
  EXPECT_LT(out.offset_mm.norm(), 5.0 * 0.0067);
  EXPECT_NEAR(out.worst_offset_mm, 0.3, 5.0 * 0.0067);
  EXPECT_NEAR(out.rms_mm, kWallNoise_mm, 0.015);
  const MeasuredHole straight = sharpened(wall);
  EXPECT_GT(straight.rms_mm, 0.06);
}

// A sixth of the wall tells where that side is, not how wide the hole is.
TEST(SharpenByWall, LeavesToTheRimsWhatThePieceOfWallDoesNotTell) {
  const MeasuredHole out = sharpened(part_of_wall(12, 60.0, 4.0, 1));
  EXPECT_GT(out.diameter_error_mm, 0.03);
  const Vector3d side = Vector3d(std::cos(0.5236), std::sin(0.5236), 0);
  EXPECT_NEAR(out.offset_mm.dot(side) + 0.5 * out.diameter_mm, 4.0, 4.0 * 0.03 / std::sqrt(12.0));
}

TEST(SharpenByWall, LeavesAllToTheRimsWithoutAWallThere) {
  const double before = told_by_rims().diameter_mm;
  EXPECT_EQ(sharpened(part_of_wall(4, 360.0, 4.0, 1)).diameter_mm, before);
  EXPECT_EQ(sharpened(part_of_wall(40, 360.0, 4.9, 1)).diameter_mm, before);
  EXPECT_EQ(sharpened({}).diameter_mm, before);
}

}  // namespace
}  // namespace trammel
