#include "trammel/model/changes.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

TEST(ChangesOutcome, HasTheNamesThatOtherProgramsRead) {
  EXPECT_EQ(outcome_name(ChangesOutcome::Unchanged), "unchanged");
  EXPECT_EQ(outcome_name(ChangesOutcome::Changed), "changed");
  EXPECT_EQ(outcome_name(ChangesOutcome::Undecided), "undecided");
}

TEST(Changes, AreUndecidedUntilSomebodyDecides) {
  EXPECT_EQ(Changes{}.outcome, ChangesOutcome::Undecided);
}

TEST(ScanFit, ErrorOfThePoseGrowsWithTheArm) {
  ScanFit fit;
  fit.center_mm = {10, 0, 0};
  fit.covariance(1, 1) = 1e-6;  // 0.001 rad about y
  fit.covariance(5, 5) = 4e-6;  // 0.002 mm along z
  // At x = 10 + 3: √((3 · 0.001)² + 0.002²) along z, nothing along x.
  EXPECT_NEAR(fit.standard_error_mm({13, 0, 0}, Eigen::Vector3d::UnitZ()), std::sqrt(13e-6), 1e-12);
  EXPECT_NEAR(fit.standard_error_mm({13, 0, 0}, Eigen::Vector3d::UnitX()), 0.0, 1e-12);
}

TEST(ChangesCoverage, OfNothingIsNoShare) {
  EXPECT_EQ(ChangesCoverage{}.common_share(), 0.0);
}

}  // namespace
}  // namespace trammel
