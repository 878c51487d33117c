#include "trammel/report/close_view.hpp"

#include <gtest/gtest.h>

#include "report/sample_inspection.hpp"
#include "trammel/model/surface_rays.hpp"

namespace trammel {
namespace {

bool is_in(const FlatBox& box, const Eigen::Vector2d& place) {
  return (place.array() >= box.low.array()).all() && (place.array() <= box.high.array()).all();
}

TEST(CloseView, LooksSquareAtAnOpenFaceAndHoldsTheWholeRegion) {
  const Inspection inspection = test::failing_inspection(3.0);
  const SurfaceRays rays(inspection.surface.cells);
  for (const Region& region : inspection.verdict.regions) {
    const auto close = close_view(inspection, region, rays, 0.55);
    ASSERT_TRUE(close.has_value()) << region.id;
    EXPECT_GT(close->view.towards.dot(region.normal), 0.999) << region.id;
    EXPECT_NEAR(close->frame.height() / close->frame.width(), 0.55, 1e-9);
    EXPECT_TRUE(is_in(close->frame, close->anchor));
    for (Eigen::Index c = 0; c < inspection.surface.region.size(); ++c) {
      if (inspection.surface.region[c] != region.id) continue;
      const Eigen::Vector2d place = project(close->view, inspection.surface.cells.center_mm.col(c));
      EXPECT_TRUE(is_in(close->frame, place)) << region.id << ": " << place.transpose();
    }
  }
}

TEST(CloseView, ComesNearASmallRegion) {
  Inspection inspection = test::failing_inspection(3.0);
  const SurfaceRays rays(inspection.surface.cells);
  Region& region = inspection.verdict.regions[0];
  // All but one cell of it belong to no region any more.
  bool kept = false;
  for (Eigen::Index c = 0; c < inspection.surface.region.size(); ++c) {
    if (inspection.surface.region[c] != region.id) continue;
    if (kept) inspection.surface.region[c] = 0;
    kept = true;
  }
  const auto close = close_view(inspection, region, rays, 0.55);
  ASSERT_TRUE(close.has_value());
  const double diagonal_mm = bounding_box(inspection.design.mesh.vertices_mm).diagonal_mm();
  EXPECT_NEAR(close->frame.width(), 0.12 * diagonal_mm, 1e-9);
}

TEST(CloseView, ARegionWithoutCellsIsNotShown) {
  Inspection inspection = test::failing_inspection(4.0);
  const SurfaceRays rays(inspection.surface.cells);
  Region empty = inspection.verdict.regions[0];
  empty.id = 77;
  EXPECT_FALSE(close_view(inspection, empty, rays, 0.55).has_value());
}

}  // namespace
}  // namespace trammel
