#include "trammel/judge/surface_out_of_place.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

/// A wall of `points` points in the middle of a sheet of 5 mm, all read as Inside and filed in cell
/// 0, and as many on the upper face that were measured in cell 1.
struct InnerWall {
  SurfaceIndex design{test::box({0, 0, 0}, {60, 40, 5})};
  Eigen::Matrix3Xd points_mm, normals;
  Deviations deviations;
  CellReadings readings;
  Eigen::VectorXi region_of_cell = Eigen::VectorXi::Zero(2);
  Plan plan;  // ±0.5 mm

  explicit InnerWall(int points) {
    points_mm.resize(3, 2 * points);
    normals.resize(3, 2 * points);
    readings.cell_of_point.resize(2 * points);
    deviations.triangle.resize(2 * points);
    for (int i = 0; i < points; ++i) {
      points_mm.col(2 * i) = Vector3d(30, 10 + 0.5 * i, 2.5);
      points_mm.col(2 * i + 1) = Vector3d(30, 10 + 0.5 * i, 5);
      normals.col(2 * i) = Vector3d::UnitX();
      normals.col(2 * i + 1) = Vector3d::UnitZ();
      for (int k = 0; k < 2; ++k)
        deviations.triangle[2 * i + k] = design.nearest(points_mm.col(2 * i + 1)).triangle;
      readings.cell_of_point.segment<2>(2 * i) << 0, 1;
      deviations.reading.push_back(Reading::Inside);
      deviations.reading.push_back(Reading::Measured);
    }
    deviations.reach_mm = 5.0;
  }
  [[nodiscard]] std::vector<PointPatch> found(const std::vector<Region>& regions = {}) const {
    const PlacedScan scan{points_mm, normals, deviations, 0.03, 0.4, plan, 0.06, 0.5};
    return surfaces_inside(scan, {points_inside(scan, design), 0.0}, readings, region_of_cell,
                           regions);
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

// Within 0.25 mm of a face they are read as of that face, though they look sideways.
TEST(SurfacesInside, WallRightUnderAFaceIsFound) {
  InnerWall f(9);
  for (int i = 0; i < 9; ++i)
    f.points_mm(2, 2 * i) = 4.8;
  f.deviations.reading.assign(18, Reading::Measured);
  ASSERT_EQ(f.found().size(), 1U);
  EXPECT_EQ(f.found()[0].points, 9);
  for (int i = 0; i < 9; ++i)
    f.points_mm(2, 2 * i) = 4.9;  // noise of 0.03 mm and a blunt edge could be that
  EXPECT_TRUE(f.found().empty());
}

// The end of the sheet (x = 60, looking +X) cut short, seen where it meets the upper face: 0.2 mm
// below that face its points are read as of it. Within the band they say nothing against the part.
TEST(SurfacesInside, EndALittleShortIsNone) {
  const auto cut_at = [](double x) {
    InnerWall f(9);
    for (int i = 0; i < 9; ++i)
      f.points_mm.col(2 * i) = Vector3d(x, 10 + 0.5 * i, 4.8);
    f.deviations.reading.assign(18, Reading::Measured);
    return f;
  };
  EXPECT_TRUE(cut_at(59.7).found().empty());
  EXPECT_TRUE(cut_at(59.58).found().empty());
  EXPECT_EQ(cut_at(59.53).found().size(), 1U);  // within U = 0.06 mm of the limit of 0.5 mm
  EXPECT_EQ(cut_at(59.0).found().size(), 1U);
  InnerWall wide = cut_at(59.0);
  wide.plan.band.under_mm = 1.2;
  EXPECT_TRUE(wide.found().empty());
  InnerWall turned = cut_at(59.7);  // a wall that looks the other way is none that was drawn
  turned.normals.row(0) *= -1.0;
  EXPECT_EQ(turned.found().size(), 1U);
}

// The same where they lie so deep under the upper face that they were read as of no face. A reading
// inferred from what is missing there stands.
TEST(SurfacesInside, EndALittleShortFarUnderAFaceIsNone) {
  const auto cut_at = [](double x) {
    InnerWall f(9);
    for (int i = 0; i < 9; ++i)
      f.points_mm.col(2 * i) = Vector3d(x, 10 + 0.5 * i, 4.6);
    return f;
  };
  EXPECT_TRUE(cut_at(59.58).found().empty());
  EXPECT_EQ(cut_at(59.53).found().size(), 1U);
  InnerWall inferred = cut_at(59.7);
  inferred.deviations.inferred.assign(18, 1);
  EXPECT_EQ(inferred.found().size(), 1U);
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
  const Eigen::Matrix3Xd normals = Vector3d::UnitZ().replicate(1, points_mm.cols());
  return surfaces_in_gaps({points_mm, normals, deviations, 0.03, 0.4, Plan{}, 0.06, 0.5}, design,
                          0.0);
}

TEST(SurfacesInGaps, FloorOfAHoleThatShouldGoThroughIsFound) {
  const auto found = disc_in_hole(1.4);
  ASSERT_EQ(found.size(), 1U);
  EXPECT_LT((found[0].center_mm - Vector3d(30, 20, 1.4)).norm(), 0.3);
}

TEST(SurfacesInGaps, BenchSeenThroughAHoleIsNone) {
  EXPECT_TRUE(disc_in_hole(0.0).empty());
  EXPECT_TRUE(disc_in_hole(0.1).empty());  // noise of 0.03 mm
  EXPECT_TRUE(disc_in_hole(-0.1).empty());
  EXPECT_TRUE(disc_in_hole(-4.0).empty());
}

TEST(SurfacesInGaps, WhatStandsOnAFaceIsNone) {
  EXPECT_TRUE(disc_in_hole(4.4, 12.0).empty());
}

}  // namespace
}  // namespace trammel
