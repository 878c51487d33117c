#include "trammel/report/region_cells.hpp"

#include <gtest/gtest.h>

#include "report/sample_inspection.hpp"
#include "trammel/model/surface_rays.hpp"
#include "trammel/report/close_view.hpp"
#include "trammel/report/corner_deviations.hpp"
#include "trammel/report/section.hpp"

namespace trammel {
namespace {

/// Region 1 as a large U makes it: what is too near to the limit to tell has grown round the part.
Inspection spread_out() {
  Inspection inspection = test::failing_inspection(2.0);
  for (Eigen::Index c = 0; c < inspection.surface.region.size(); ++c) {
    if (inspection.surface.region[c] == 0) inspection.surface.region[c] = 1;
  }
  return inspection;
}

TEST(RegionCells, AreThoseOutsideTheBandOnTheRegionsSide) {
  const Inspection plain = test::failing_inspection(2.0), spread = spread_out();
  for (const Region& region : plain.verdict.regions) {
    const auto cells = cells_outside(plain, region);
    EXPECT_FALSE(cells.empty());
    EXPECT_EQ(cells_outside(spread, region), cells) << region.id;
    for (const Eigen::Index c : cells) {
      const double deviation = plain.surface.readings.deviation_mm[c];
      EXPECT_GT(region.kind == RegionKind::Proud ? deviation : -deviation, 0.5);
    }
  }
}

TEST(RegionCells, TheWholeSurfaceIsShownByTheSameRule) {
  const Inspection spread = spread_out();
  const Eigen::VectorXi shown = shown_regions(spread);
  Eigen::VectorXi wanted = Eigen::VectorXi::Zero(shown.size());
  for (const Region& region : spread.verdict.regions) {
    for (const Eigen::Index c : cells_outside(spread, region))
      wanted[c] = region.id;
  }
  EXPECT_EQ(shown, wanted);
  EXPECT_LT((shown.array() > 0).count(), (spread.surface.region.array() > 0).count() / 2);
}

TEST(RegionCells, OfARegionThatIsOnlyTooNearToTheLimitAreAllOfIt) {
  Inspection inspection = test::failing_inspection(4.0);
  inspection.plan.band = {5.0, 5.0};
  const Region& region = inspection.verdict.regions[0];
  const auto all = static_cast<std::size_t>((inspection.surface.region.array() == 1).count());
  EXPECT_EQ(cells_outside(inspection, region).size(), all);
}

TEST(RegionCells, PictureAndSectionStayWhereTheRegionIsWhenItSpreads) {
  const Inspection plain = test::failing_inspection(2.0), spread = spread_out();
  const Region& region = plain.verdict.regions[0];
  const SurfaceRays rays(plain.surface.cells);
  const auto near = close_view(plain, region, rays, 0.6),
             same = close_view(spread, region, rays, 0.6);
  ASSERT_TRUE(near && same);
  EXPECT_EQ(near->view.towards, same->view.towards);
  EXPECT_EQ(near->frame.low, same->frame.low);
  EXPECT_EQ(near->anchor, same->anchor);
  const Eigen::Matrix3Xd corners = corner_deviations(plain.surface);
  const auto cut = section_through(plain, corners, region),
             same_cut = section_through(spread, corners, region);
  ASSERT_TRUE(cut && same_cut);
  EXPECT_EQ(cut->peak, same_cut->peak);
  EXPECT_EQ(cut->pieces.size(), same_cut->pieces.size());
}

}  // namespace
}  // namespace trammel
