#include "trammel/report/histogram.hpp"

#include <gtest/gtest.h>

#include <numeric>

#include "report/sample_inspection.hpp"

namespace trammel {
namespace {

TEST(Histogram, CountsAllSeenAreaOnce) {
  const Inspection inspection = test::failing_inspection(4.0);
  const Histogram h = histogram_of(inspection);
  const double binned = std::accumulate(h.area_mm2.begin(), h.area_mm2.end(), 0.0);
  // Sums of some 10⁴ areas: rounding stays far below 1e-9 of the total.
  EXPECT_NEAR(binned + h.below_mm2 + h.beyond_mm2, inspection.verdict.coverage.seen_area_mm2, 1e-5);
  EXPECT_NEAR(h.seen_mm2, inspection.verdict.coverage.seen_area_mm2, 1e-5);
}

TEST(Histogram, LimitsAndStepsAreEdgesOfBins) {
  Inspection inspection = test::passing_inspection(8.0);
  inspection.plan.band = {0.4, 0.3};
  const auto edges = histogram_of(inspection).edges_mm;
  for (const double wanted : {0.0, 0.4, 0.6, 0.8, 1.2, -0.3, -0.45, -0.6, -0.9}) {
    double nearest = 1e9;
    for (const double edge : edges)
      nearest = std::min(nearest, std::abs(edge - wanted));
    EXPECT_LT(nearest, 1e-12) << wanted;
  }
}

TEST(Histogram, ALimitOfZeroBorrowsTheOtherSidesAxis) {
  const Band band = drawn_band({0.4, 0.0});
  EXPECT_EQ(band.over_mm, 0.4);
  EXPECT_EQ(band.under_mm, 0.4);
  EXPECT_EQ(drawn_band({0.4, 0.1}).under_mm, 0.1);
}

TEST(Histogram, WhatLiesFurtherOutIsKeptBesideTheAxis) {
  Inspection inspection = test::passing_inspection(8.0);
  inspection.surface.readings.deviation_mm.setConstant(9.0);
  const Histogram h = histogram_of(inspection);
  EXPECT_NEAR(h.beyond_mm2, inspection.verdict.coverage.design_area_mm2, 1e-6);
  EXPECT_DOUBLE_EQ(h.proud_mm2, h.beyond_mm2);
  EXPECT_DOUBLE_EQ(h.shy_mm2, 0.0);
}

}  // namespace
}  // namespace trammel
