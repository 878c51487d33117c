#include "trammel/judge/surface_out_of_place.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

/// A wall of `points` points 0.5 mm apart from (10, 10, 0) upwards, all read as Inside and filed in
/// cell 0, and as many that were measured in cell 1.
struct InnerWall {
  Eigen::Matrix3Xd points_mm;
  Deviations deviations;
  CellReadings readings;
  Eigen::VectorXi region_of_cell = Eigen::VectorXi::Zero(2);

  explicit InnerWall(int points) {
    points_mm.resize(3, 2 * points);
    readings.cell_of_point.resize(2 * points);
    for (int i = 0; i < points; ++i) {
      points_mm.col(2 * i) = Vector3d(10, 10, 0.5 * i);
      points_mm.col(2 * i + 1) = Vector3d(10, 10, 0.5 * i);
      readings.cell_of_point.segment<2>(2 * i) << 0, 1;
      deviations.reading.push_back(Reading::Inside);
      deviations.reading.push_back(Reading::Measured);
    }
  }
  [[nodiscard]] std::vector<PointPatch> found(const std::vector<Region>& regions = {}) const {
    return surfaces_inside(points_mm, deviations, readings, region_of_cell, regions, 1.0);
  }
};

TEST(SurfacesInside, WallInTheMaterialIsFound) {
  const auto found = InnerWall(9).found();
  ASSERT_EQ(found.size(), 1U);
  EXPECT_EQ(found[0].points, 9);
}

TEST(SurfacesInside, AFewPointsAreNone) {
  EXPECT_TRUE(InnerWall(4).found().empty());
}

TEST(SurfacesInside, WhatAJudgedRegionSpeaksForIsLeftOut) {
  InnerWall f(9);
  f.region_of_cell[0] = 1;
  Region region;
  region.outcome = Outcome::Fail;
  EXPECT_TRUE(f.found({region}).empty());
  region.outcome = Outcome::Listed;  // it decides nothing, so the points still have to
  EXPECT_EQ(f.found({region}).size(), 1U);
}

/// A disc of points 5 mm across at the height z over the hole of a plate 3 mm thick, read as
/// Beside.
std::vector<PointPatch> disc_in_hole(double z, double x = 30.0) {
  const SurfaceIndex design(test::plate(60, 40, 3, {{{30, 20}, 6.0}}));
  std::vector<Vector3d> disc;
  for (double u = -2.5; u <= 2.5; u += 0.4)
    for (double v = -2.5; v <= 2.5; v += 0.4)
      if (u * u + v * v < 6.25) disc.emplace_back(x + u, 20 + v, z);
  Eigen::Matrix3Xd points_mm(3, static_cast<Eigen::Index>(disc.size()));
  for (std::size_t i = 0; i < disc.size(); ++i)
    points_mm.col(static_cast<Eigen::Index>(i)) = disc[i];
  Deviations deviations;
  deviations.reach_mm = 5.0;
  deviations.reading.assign(disc.size(), Reading::Beside);
  return surfaces_in_gaps(points_mm, design, deviations, 1.0);
}

TEST(SurfacesInGaps, FloorOfAHoleThatShouldGoThroughIsFound) {
  const auto found = disc_in_hole(1.4);
  ASSERT_EQ(found.size(), 1U);
  EXPECT_LT((found[0].center_mm - Vector3d(30, 20, 1.4)).norm(), 0.3);
}

TEST(SurfacesInGaps, BenchSeenThroughAHoleIsNone) {
  EXPECT_TRUE(disc_in_hole(0.0).empty());
  EXPECT_TRUE(disc_in_hole(-0.1).empty());
  EXPECT_TRUE(disc_in_hole(-4.0).empty());
}

TEST(SurfacesInGaps, WhatStandsOnAFaceIsNone) {
  EXPECT_TRUE(disc_in_hole(4.4, 12.0).empty());
}

}  // namespace
}  // namespace trammel
