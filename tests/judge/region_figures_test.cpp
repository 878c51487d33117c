#include "trammel/judge/region_figures.hpp"

#include <gtest/gtest.h>

#include <vector>

#include "judge/cell_fixture.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

std::vector<int> upper_square(const test::CellFixture& f, double side) {
  const SurfaceCells& cells = f.tree.cells();
  std::vector<int> out;
  for (Index c = 0; c < cells.size(); ++c)
    if (test::in_square(cells.center_mm.col(c), cells.normal.col(c), side))
      out.push_back(static_cast<int>(c));
  return out;
}

test::CellFixture shy() {
  return test::CellFixture([](const Vector3d&, const Vector3d&) { return -0.9; });
}

// A rim's floor was read as its edge by some 30 points of 27,000: "Shy by 26.14 mm", of a bow of
// 1.3 mm.
TEST(RegionFigures, OneCellMakesNoPeak) {
  test::CellFixture f = shy();
  const std::vector<int> region = upper_square(f, 12);
  f.readings.deviation_mm[region[3]] = -26.0;
  const RegionFigures figures = region_figures(f.tree.cells(), f.readings, region, 4.0);
  EXPECT_EQ(f.readings.deviation_mm[figures.peak], -0.9);
  EXPECT_EQ(figures.absence, Absence::None);
}

TEST(RegionFigures, WhatProvesAFailIsTheirPeak) {
  test::CellFixture f = shy();
  const std::vector<int> region = upper_square(f, 12), deeper = upper_square(f, 1.6);
  for (const int c : deeper)
    f.readings.deviation_mm[c] = -1.4;
  const RegionFigures figures = region_figures(f.tree.cells(), f.readings, region, 4.0);
  EXPECT_EQ(f.readings.deviation_mm[figures.peak], -1.4);
}

TEST(RegionFigures, MissingCellsAreToldByTheirAreaAlone) {
  test::CellFixture f = shy();
  const std::vector<int> region = upper_square(f, 12), gone = upper_square(f, 4);
  f.readings.missing.assign(f.readings.seen.size(), 0);
  for (const int c : gone) {
    f.readings.deviation_mm[c] = -40.0;
    f.readings.missing[static_cast<std::size_t>(c)] = 1;
  }
  const RegionFigures figures = region_figures(f.tree.cells(), f.readings, region, 4.0);
  EXPECT_EQ(figures.absence, Absence::None);
  EXPECT_NEAR(figures.missing_mm2, 16.0, 7.0);
  EXPECT_NEAR(figures.area_mm2, 144.0, 20.0);
  EXPECT_NEAR(figures.mean_mm, -0.9, 1e-12);
  EXPECT_EQ(f.readings.deviation_mm[figures.peak], -0.9);
  const RegionFigures all_gone = region_figures(f.tree.cells(), f.readings, gone, 4.0);
  EXPECT_EQ(all_gone.absence, Absence::Material);
  EXPECT_EQ(all_gone.missing_mm2, all_gone.area_mm2);
}

}  // namespace
}  // namespace trammel
