#include "trammel/model/surface_rays.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "support/shapes.hpp"
#include "trammel/geometry/surface_cells.hpp"

namespace trammel {
namespace {

SurfaceCells box_cells() {
  return CellTree(test::box({100, 0, 0}, {110, 20, 30}), 4.0).take_cells();
}

TEST(SurfaceRays, MeetTheNearFaceAtItsDistance) {
  const SurfaceCells cells = box_cells();
  const SurfaceRays rays(cells);
  const auto hit = rays.first_hit({200, 7.3, 11.1}, {-1, 0, 0});
  ASSERT_GE(hit.cell, 0);
  EXPECT_NEAR(hit.distance_mm, 90.0, 1e-4);  // single precision of 100 mm: 8e-6
  EXPECT_GT(cells.normal.col(hit.cell).x(), 0.99);
}

TEST(SurfaceRays, WeightsGiveThePointThatWasMet) {
  const SurfaceCells cells = box_cells();
  const SurfaceRays rays(cells);
  const auto hit = rays.first_hit({200, 7.3, 11.1}, {-1, 0, 0});
  const double u = static_cast<double>(hit.u), v = static_cast<double>(hit.v);
  const auto corner = [&](int k) {
    return Eigen::Vector3d(cells.vertices_mm.col(cells.cells(k, hit.cell)));
  };
  const Eigen::Vector3d point = (1 - u - v) * corner(0) + u * corner(1) + v * corner(2);
  EXPECT_NEAR((point - Eigen::Vector3d(110, 7.3, 11.1)).norm(), 0.0, 1e-4);
}

TEST(SurfaceRays, ManySideBySideMeetWhatEachMeetsAlone) {
  // 21 lines: two full packets and a part of one; some pass beside the box. None meets an edge
  // between cells: which of the two is met there differs from processor to processor.
  const SurfaceRays rays(box_cells());
  const Eigen::Vector3d direction = Eigen::Vector3d(-1.0, 0.1, -0.2).normalized();
  Eigen::Matrix3Xd starts(3, 21);
  for (int i = 0; i < 21; ++i)
    starts.col(i) << 200.0, -9.618034 + 1.314159 * i, 31.1732 + 0.01 * i;
  std::vector<SurfaceRays::Hit> hits;
  rays.first_hits(starts, direction, hits);
  ASSERT_EQ(hits.size(), 21U);
  int met = 0;
  for (std::size_t i = 0; i < hits.size(); ++i) {
    const auto alone = rays.first_hit(starts.col(static_cast<Eigen::Index>(i)), direction);
    EXPECT_EQ(hits[i].cell, alone.cell) << i;
    EXPECT_NEAR(hits[i].distance_mm, alone.distance_mm, 1e-4) << i;  // single precision: 8e-6
    if (hits[i].cell < 0) continue;
    ++met;
    EXPECT_GT(std::min({hits[i].u, hits[i].v, 1.0F - hits[i].u - hits[i].v}), 1e-4F) << i;
  }
  EXPECT_GT(met, 10);
  EXPECT_LT(met, 21);
}

TEST(SurfaceRays, PassBesideThePart) {
  const SurfaceRays rays(box_cells());
  EXPECT_EQ(rays.first_hit({200, 25, 10}, {-1, 0, 0}).cell, -1);
}

TEST(SurfaceRays, AFaceIsClearTowardsItsOwnSideOnly) {
  const SurfaceRays rays(box_cells());
  const Eigen::Vector3d on_top(105, 10, 30), up = Eigen::Vector3d::UnitZ();
  EXPECT_TRUE(rays.is_clear(on_top, up, up));
  EXPECT_FALSE(rays.is_clear(on_top, up, -up));
}

TEST(SurfaceRays, WithoutCellsNothingIsMet) {
  SurfaceCells none;
  none.vertices_mm.resize(3, 0);
  none.cells.resize(3, 0);
  EXPECT_EQ(SurfaceRays(none).first_hit({0, 0, 5}, {0, 0, -1}).cell, -1);
}

}  // namespace
}  // namespace trammel
