#include "trammel/report/section.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "report/sample_inspection.hpp"
#include "trammel/report/corner_deviations.hpp"

namespace trammel {
namespace {

TEST(Section, CutsTheLeaningUprightAcrossItsBend) {
  const Inspection inspection = test::failing_inspection(2.0);
  const auto section = section_through(inspection, corner_deviations(inspection.surface),
                                       inspection.verdict.regions[0]);
  ASSERT_TRUE(section.has_value());
  // The lean changes with z and not with y: the cut is square to y.
  EXPECT_NEAR(std::abs(section->view.towards.y()), 1.0, 1e-12);
  // Through the region, whose cells lie within the 60 mm of the upright.
  const double cut_y = section->plane_mm * section->view.towards.y();
  EXPECT_TRUE(cut_y > 0.0 && cut_y < 60.0) << cut_y;
  EXPECT_GT(section->pieces.size(), 100U);
  // Worst at the upper end, away from the material towards +X.
  EXPECT_GT(section->peak.y(), 45.0);
  EXPECT_NEAR(section->peak_outward.x(), 1.0, 1e-12);
}

TEST(Section, PiecesLieOnTheDesignAndCarryTheDeviationThere) {
  const Inspection inspection = test::failing_inspection(2.0);
  const auto section = section_through(inspection, corner_deviations(inspection.surface),
                                       inspection.verdict.regions[0]);
  ASSERT_TRUE(section.has_value());
  int checked = 0;
  for (const SectionPiece& piece : section->pieces) {
    const bool on_upright = std::abs(piece.from.x() - 3.0) < 1e-9 && piece.outward.x() > 0.9;
    if (!on_upright || piece.from.y() < 6.0 || piece.from.y() > 50.0) continue;
    const double planted = 1.2 * std::pow(piece.from.y() / 55.0, 2.0);
    // Ripple 0.015 mm, doubled at most by the local fit, and the bend of z² over one 2 mm cell.
    EXPECT_NEAR(piece.from_mm, planted, 0.035);
    ++checked;
  }
  EXPECT_GT(checked, 10);
}

TEST(Section, IsAbsentWhereTheRegionHasNoCells) {
  Inspection inspection = test::failing_inspection(4.0);
  inspection.surface.region.setZero();
  EXPECT_FALSE(section_through(inspection, corner_deviations(inspection.surface),
                               inspection.verdict.regions[0])
                   .has_value());
}

}  // namespace
}  // namespace trammel
