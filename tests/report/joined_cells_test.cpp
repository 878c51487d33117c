#include "trammel/report/joined_cells.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "report/sample_inspection.hpp"
#include "trammel/report/corner_deviations.hpp"

namespace trammel {
namespace {

double area_of(const SurfaceCells& cells, const JoinedCell& cell) {
  const Eigen::Vector3d a = cells.vertices_mm.col(cell.corner[0]);
  const Eigen::Vector3d b = cells.vertices_mm.col(cell.corner[1]);
  const Eigen::Vector3d c = cells.vertices_mm.col(cell.corner[2]);
  return 0.5 * (b - a).cross(c - a).norm();
}

/// Cells of one reading everywhere are cut back to the design's own triangles.
TEST(JoinedCells, GiveTheDesignBackWhereAllReadAlike) {
  Inspection inspection = test::passing_inspection(3.0);
  SurfaceMap& surface = inspection.surface;
  surface.readings.deviation_mm.setConstant(0.1);
  const Eigen::Matrix3Xd corners = Eigen::Matrix3Xd::Constant(3, surface.cells.size(), 0.1);
  const auto joined =
      joined_cells(surface.cells, single_cells(surface, corners, band_indices(inspection)), 0.0);
  EXPECT_EQ(joined.size(), static_cast<std::size_t>(inspection.design.mesh.triangles.cols()));
}

TEST(JoinedCells, KeepAreaOrientationAndReadingsWithinTheTolerance) {
  const Inspection inspection = test::failing_inspection(1.5);
  const SurfaceMap& surface = inspection.surface;
  const double tolerance = 0.02;
  const auto joined = joined_cells(
      surface.cells, single_cells(surface, corner_deviations(surface), band_indices(inspection)),
      tolerance);
  EXPECT_LT(joined.size(), 0.8 * static_cast<double>(surface.cells.size()));
  double area = 0.0;
  std::vector<Eigen::Vector3d> normal(
      static_cast<std::size_t>(inspection.design.mesh.triangles.cols()), Eigen::Vector3d::Zero());
  for (Eigen::Index c = 0; c < surface.cells.size(); ++c)
    normal[static_cast<std::size_t>(surface.cells.triangle[c])] = surface.cells.normal.col(c);
  for (const JoinedCell& cell : joined) {
    area += area_of(surface.cells, cell);
    const Eigen::Vector3d a = surface.cells.vertices_mm.col(cell.corner[0]);
    const Eigen::Vector3d up = (surface.cells.vertices_mm.col(cell.corner[1]) - a)
                                   .cross(surface.cells.vertices_mm.col(cell.corner[2]) - a);
    EXPECT_GT(up.dot(normal[static_cast<std::size_t>(cell.triangle)]), 0.0);
    EXPECT_LE(cell.corner_error_mm, tolerance);
    if (std::isnan(cell.low_mm)) continue;
    EXPECT_LE(cell.high_mm - cell.low_mm, 2.0 * tolerance);
  }
  // Sums of some 20,000 areas in double precision.
  EXPECT_NEAR(area, surface.cells.area_mm2.sum(), 1e-8 * area);
}

TEST(JoinedCells, NeverMixSeenWithUnseenNorRegionsNorBands) {
  Inspection inspection = test::failing_inspection(2.0);
  inspection.plan.zones.push_back({"z", BoxShape{{20, 10, -1}, {40, 30, 9}}, {0.2, 0.2}});
  const SurfaceMap& surface = inspection.surface;
  const auto bands = band_indices(inspection);
  const auto joined =
      joined_cells(surface.cells, single_cells(surface, corner_deviations(surface), bands), 100.0);
  double unseen = 0.0, in_zone = 0.0, in_region = 0.0;
  for (const JoinedCell& cell : joined) {
    const double area = area_of(surface.cells, cell);
    if (!std::isfinite(cell.low_mm)) unseen += area;
    if (cell.band == 1) in_zone += area;
    if (cell.region == 1) in_region += area;
  }
  double unseen_before = 0.0, in_zone_before = 0.0;
  for (Eigen::Index c = 0; c < surface.cells.size(); ++c) {
    if (!std::isfinite(surface.readings.deviation_mm[c]))
      unseen_before += surface.cells.area_mm2[c];
    if (bands[static_cast<std::size_t>(c)] == 1) in_zone_before += surface.cells.area_mm2[c];
  }
  EXPECT_NEAR(unseen, unseen_before, 1e-6);
  EXPECT_NEAR(in_zone, in_zone_before, 1e-6);
  EXPECT_NEAR(in_region, inspection.verdict.regions[0].area_mm2, 1e-6);
}

TEST(JoinedCells, JoiningInTwoStepsHoldsTheSameBounds) {
  const Inspection inspection = test::failing_inspection(2.0);
  const SurfaceMap& surface = inspection.surface;
  const auto singles = single_cells(surface, corner_deviations(surface), band_indices(inspection));
  ASSERT_EQ(singles.size(), static_cast<std::size_t>(surface.cells.size()));
  const auto once = joined_cells(surface.cells, singles, 0.01);
  const auto twice = joined_cells(surface.cells, once, 0.03);
  EXPECT_LT(once.size(), singles.size());
  EXPECT_LT(twice.size(), once.size());
  double area = 0.0;
  for (const JoinedCell& cell : twice) {
    area += area_of(surface.cells, cell);
    EXPECT_LE(cell.corner_error_mm, 0.03);
    if (std::isfinite(cell.low_mm)) {
      EXPECT_LE(cell.high_mm - cell.low_mm, 0.06);
    }
  }
  EXPECT_NEAR(area, surface.cells.area_mm2.sum(), 1e-8 * area);
}

}  // namespace
}  // namespace trammel
