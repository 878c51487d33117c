#include "trammel/judge/inner_surfaces.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

using Eigen::Vector3d;

/// A wall of `points` points 0.5 mm apart from (10, 10, 0) upwards, all read as Inside and filed in
/// cell 0, and as many that were measured in cell 1.
struct Fixture {
  Eigen::Matrix3Xd points_mm;
  Deviations deviations;
  CellReadings readings;
  Eigen::VectorXi region_of_cell = Eigen::VectorXi::Zero(2);

  explicit Fixture(int points) {
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
  [[nodiscard]] std::vector<InnerSurface> found(const std::vector<Region>& regions = {}) const {
    return inner_surfaces(points_mm, deviations, readings, region_of_cell, regions, 1.0);
  }
};

TEST(InnerSurfaces, WallInsideTheMaterialIsFoundAtItsMiddle) {
  const auto found = Fixture(9).found();
  ASSERT_EQ(found.size(), 1U);
  EXPECT_EQ(found[0].points, 9);
  EXPECT_LT((found[0].center_mm - Vector3d(10, 10, 2)).norm(), 1e-12);
}

TEST(InnerSurfaces, AFewPointsAreNoSurface) {
  EXPECT_TRUE(Fixture(4).found().empty());
}

TEST(InnerSurfaces, PointsFarApartAreNoSurface) {
  Fixture f(9);
  f.points_mm *= 3.0;
  EXPECT_TRUE(f.found().empty());
}

TEST(InnerSurfaces, WhatAJudgedRegionSpeaksForIsLeftOut) {
  Fixture f(9);
  f.region_of_cell[0] = 1;
  Region region;
  region.outcome = Outcome::Fail;
  EXPECT_TRUE(f.found({region}).empty());
  region.outcome = Outcome::Listed;  // it decides nothing, so the points still have to
  EXPECT_EQ(f.found({region}).size(), 1U);
}

}  // namespace
}  // namespace trammel
