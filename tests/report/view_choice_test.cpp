#include "trammel/report/view_choice.hpp"

#include <gtest/gtest.h>

#include "report/sample_inspection.hpp"
#include "support/shapes.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/geometry/surface_cells.hpp"
#include "trammel/report/sheet_context.hpp"

namespace trammel {
namespace {

TEST(ViewChoice, ShowsEveryRegionAndHoleInAtLeastOneOfFourToSixViews) {
  const Inspection inspection = test::failing_inspection(3.0);
  const SheetContext context(inspection);
  EXPECT_GE(context.views.size(), kLeastViews);
  EXPECT_LE(context.views.size(), kMostViews);
  for (const Region& region : inspection.verdict.regions) {
    bool shown = false;
    for (const View& view : context.views) {
      shown = shown || (region.normal.dot(view.towards) > 0.15 &&
                        context.rays.is_clear(region.center_mm, region.normal, view.towards));
    }
    EXPECT_TRUE(shown) << "region " << region.id;
  }
  for (const Opening& opening : context.openings) {
    double share = 0.0;
    for (const View& view : context.views)
      share = std::max(share, visible_share(opening, view, context.rays));
    EXPECT_GE(share, 0.5);
  }
}

TEST(ViewChoice, ViewsDiffer) {
  const Inspection inspection = test::passing_inspection(4.0);
  const SheetContext context(inspection);
  for (std::size_t i = 0; i < context.views.size(); ++i) {
    for (std::size_t j = 0; j < i; ++j)
      EXPECT_LT(context.views[i].towards.dot(context.views[j].towards), 0.99);
  }
}

TEST(ViewChoice, IsTheSameOnAnyNumberOfThreads) {
  const Inspection inspection = test::failing_inspection(3.0);
  std::vector<std::string> one, two;
  {
    const ThreadLimit limit(1);
    for (const View& view : SheetContext(inspection).views)
      one.push_back(view_title(view));
  }
  {
    const ThreadLimit limit(2);
    for (const View& view : SheetContext(inspection).views)
      two.push_back(view_title(view));
  }
  EXPECT_EQ(one, two);
}

/// A box that was seen all over and has nothing to show: its sides are alike.
std::vector<std::string> views_of_a_box(double cell_edge_mm, double stretch) {
  Inspection inspection;
  inspection.design.mesh = test::box({0, 0, 0}, {40, 30.0 * stretch, 20});
  SurfaceMap& surface = inspection.surface;
  surface.cells = CellTree(inspection.design.mesh, cell_edge_mm).take_cells();
  surface.readings.deviation_mm.setZero(surface.cells.size());
  surface.region.setZero(surface.cells.size());
  std::vector<std::string> titles;
  for (const View& view : choose_views(inspection, SheetContext(inspection).rays, {}))
    titles.push_back(view_title(view));
  return titles;
}

TEST(ViewChoice, NeitherCellsNorLastDigitsDecideBetweenSidesThatAreAlike) {
  const auto titles = views_of_a_box(2.0, 1.0);
  // Three faces from the front, right and above; then the other three; what is left adds nothing.
  EXPECT_EQ(titles[0], view_title(view_from({1, -1, 1})));
  EXPECT_EQ(titles[1], view_title(view_from({-1, 1, -1})));
  for (const double edge : {1.3, 1.7, 2.3, 3.1})
    for (const double stretch : {1.0, 1.0 - 1e-9, 1.0 + 1e-9})
      EXPECT_EQ(views_of_a_box(edge, stretch), titles) << edge << ' ' << stretch;
}

TEST(ViewChoice, AnAnchorIsOnAVisibleCellOfItsRegionOrAbsent) {
  const Inspection inspection = test::failing_inspection(3.0);
  const SheetContext context(inspection);
  const Region& lean = inspection.verdict.regions[0];  // on the face towards +X
  const View front = view_from({1, -1, 1}), back = view_from({-1, 1, 1});
  const auto anchor = region_anchor(inspection, lean, front, context.rays);
  ASSERT_TRUE(anchor.has_value());
  EXPECT_NEAR(anchor->x(), 3.0, 1e-9);
  EXPECT_TRUE(context.rays.is_clear(*anchor, lean.normal, front.towards));
  EXPECT_FALSE(region_anchor(inspection, lean, back, context.rays).has_value());
}

}  // namespace
}  // namespace trammel
