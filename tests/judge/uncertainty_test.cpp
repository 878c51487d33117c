#include "trammel/judge/uncertainty.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "judge/cell_fixture.hpp"
#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

test::CellFixture noisy(double sigma_mm) {
  test::CellFixture f([](const Vector3d&, const Vector3d&) { return 0.0; });
  f.plan.uncertainty_mm.reset();
  Rng rng(12);
  for (Eigen::Index i = 0; i < f.deviations.signed_mm.size(); ++i) {
    f.deviations.signed_mm[i] = sigma_mm * rng.normal();
  }
  return f;
}

UncertaintyBudget budget_of(const test::CellFixture& f) {
  return uncertainty_of(f.plan, f.alignment, f.deviations, f.readings);
}

TEST(Uncertainty, PlanHasTheLastWord) {
  test::CellFixture f = noisy(0.2);
  f.plan.uncertainty_mm = 0.04;
  EXPECT_EQ(budget_of(f).expanded_mm, 0.04);
  EXPECT_TRUE(budget_of(f).from_plan);
}

TEST(Uncertainty, NoiseOfTheScanIsFound) {
  const test::CellFixture f = noisy(0.03);
  // Robust sigma of n values has a relative standard error of about 1.17/√n: under 0.5 % here.
  EXPECT_NEAR(budget_of(f).noise_mm, 0.03, 0.0006);
  EXPECT_NEAR(budget_of(f).expanded_mm, 0.06, 0.0012);
}

TEST(Uncertainty, AddsIndependentPartsInSquares) {
  test::CellFixture f = noisy(0.03);
  f.alignment.standard_error_mm = 0.04;
  f.plan.coating_mm = 0.02;  // half of it as a rectangular half-width: 0.01/√3
  const UncertaintyBudget out = budget_of(f);
  EXPECT_NEAR(out.coating_mm, 0.0057735, 1e-6);
  EXPECT_NEAR(out.expanded_mm, 2.0 * std::hypot(out.noise_mm, 0.04, 0.0057735), 1e-7);
}

TEST(Summary, DescribesMeasuredPointsOnly) {
  Deviations d;
  d.signed_mm.resize(5);
  d.signed_mm << 1, 2, 3, 4, 100;
  d.reading.assign(5, Reading::Measured);
  d.reading[4] = Reading::Inside;
  const DeviationSummary out = summary_of(d);
  EXPECT_EQ(out.count, 4U);
  EXPECT_DOUBLE_EQ(out.mean_mm, 2.5);
  EXPECT_DOUBLE_EQ(out.max_mm, 4.0);
  EXPECT_DOUBLE_EQ(out.median_mm, 2.5);
  EXPECT_NEAR(out.rms_mm, std::sqrt(7.5), 1e-15);
}

TEST(UncertaintyWithinScan, LeavesTheAlignmentOut) {
  UncertaintyBudget budget;
  budget.noise_mm = 0.03;
  budget.coating_mm = 0.04;
  budget.alignment_mm = 0.5;
  budget.expanded_mm = 1.0;
  EXPECT_NEAR(uncertainty_within_scan_mm(budget), 0.1, 1e-12);
  budget.from_plan = true;
  EXPECT_EQ(uncertainty_within_scan_mm(budget), 1.0);
  EXPECT_EQ(uncertainty_within_scan_mm(UncertaintyBudget{}), 0.002);
}

}  // namespace
}  // namespace trammel
