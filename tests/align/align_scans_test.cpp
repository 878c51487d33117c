#include "trammel/align/align_scans.hpp"

#include <gtest/gtest.h>

#include "support/long_run.hpp"
#include "support/panel.hpp"
#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"

namespace trammel {
namespace {

test::VirtualScan scanned(const Mesh& part, std::uint64_t seed, bool normals = true,
                          std::vector<Eigen::Vector3d> views = {}) {
  test::ScannerSettings settings;
  settings.points = 25'000;
  settings.noise_mm = 0.05;
  settings.with_normals = normals;
  settings.views = std::move(views);
  return test::scan_of(part, settings, Rng(seed));
}

bool is_held(const ScanFit& fit) {
  const Alignment& a = fit.alignment;
  return a.found && a.converged && !a.ambiguous && a.free_directions.empty() && a.doubts.empty();
}

/// Largest error of the pose at the new scan's points.
double error_mm(const ScanFit& fit, const test::VirtualScan& before,
                const test::VirtualScan& after) {
  const Eigen::Isometry3d truth = before.T_design_scan.inverse() * after.T_design_scan;
  double worst = 0.0;
  for (Eigen::Index i = 0; i < after.scan.size(); i += 50) {
    const Eigen::Vector3d p = after.scan.points_mm.col(i);
    worst = std::max(worst, (fit.T_old_new() * p - truth * p).norm());
  }
  return worst;
}

ScanFit fit_of(const test::VirtualScan& before, const test::VirtualScan& after) {
  return align_scans(before.scan, after.scan, {}, Rng(1));
}

TEST(AlignScans, LaysTwoScansOfOnePartOnEachOther) {
  // Without them CompareScans.WorksWithoutNormals… tries it as well.
  for (const bool normals : test::some_of<bool>({true, false}, 1)) {
    const auto before = scanned(test::bracket(), 1, normals);
    const auto after = scanned(test::bracket(), 2, normals);
    const ScanFit fit = fit_of(before, after);
    EXPECT_TRUE(is_held(fit)) << normals;
    // 12,000 points of σ = 0.05: a few µm, ten times that at the corners of thin sheet.
    EXPECT_LT(error_mm(fit, before, after), 0.05) << normals;
    EXPECT_EQ(fit.sides_known, normals);
    EXPECT_NEAR(fit.noise_mm, 0.05, 0.015);
  }
}

TEST(AlignScans, IsNotMovedByAThirdThatChanged) {
  test::PanelOptions changed;
  changed.pushes = {{{150, 110}, 85.0, 1.5}};  // 22,700 of 76,500 mm²
  const auto before = scanned(test::wing_panel(), 3, true, test::panel_views());
  const auto after = scanned(test::wing_panel(changed), 4, true, test::panel_views());
  const ScanFit fit = fit_of(before, after);
  EXPECT_TRUE(is_held(fit));
  EXPECT_LT(error_mm(fit, before, after), 0.15);
}

TEST(AlignScans, IsNotCaughtByABentFlange) {
  // The bent third of the flange pulls the panel along it: the fit that follows it is a minimum of
  // its own, a millimetre off.
  test::PanelOptions bent;
  bent.flange_bend_rad = 0.2;
  bent.bracket = true;
  for (int seed = 0; seed < test::rounds(1, 2); ++seed) {
    const auto before =
        scanned(test::wing_panel(), 100U + static_cast<unsigned>(seed), true, test::panel_views());
    const auto after = scanned(test::wing_panel(bent), 200U + static_cast<unsigned>(seed), true,
                               test::panel_views());
    const ScanFit fit = fit_of(before, after);
    if (!is_held(fit)) continue;  // unsure is no error
    EXPECT_LT(error_mm(fit, before, after), 0.15) << seed;
  }
}

TEST(AlignScans, MayBeSwapped) {
  // The smaller scan always moves; the answer must be the inverse all the same.
  const auto whole = scanned(test::housing(), 5);
  const auto part = scanned(test::housing(), 6, true, {{0, 0.2, 1}, {0.6, 0, 0.8}, {0, -0.7, 0.7}});
  const ScanFit there = fit_of(whole, part), back = fit_of(part, whole);
  EXPECT_TRUE(is_held(there));
  EXPECT_TRUE(is_held(back));
  EXPECT_LT(error_mm(there, whole, part), 0.1);
  EXPECT_LT(error_mm(back, part, whole), 0.1);
  // The error at a place does not depend on who moved; both have the same place in the part.
  const Eigen::Vector3d p_design(110, 75, 40), n_design(0, 0, 1);
  const auto error_at = [&](const ScanFit& fit, const test::VirtualScan& old_scan) {
    const Eigen::Isometry3d back_to_scan = old_scan.T_design_scan.inverse();
    return fit.standard_error_mm(back_to_scan * p_design, back_to_scan.linear() * n_design);
  };
  const double a = error_at(there, whole), b = error_at(back, part);
  EXPECT_GT(a / b, 0.5);
  EXPECT_LT(a / b, 2.0);
}

TEST(AlignScans, OfARoundPartAreAmbiguous) {
  const ScanFit fit = fit_of(scanned(test::flange(6), 7), scanned(test::flange(6), 8));
  EXPECT_FALSE(is_held(fit));
}

TEST(AlignScans, OfAFlatSheetAreFreeToSlide) {
  const Mesh sheet = test::refined(test::box({0, 0, 0}, {200, 150, 1}), 20.0);
  const std::vector<Eigen::Vector3d> above{{0, 0, 1}, {0.2, 0.1, 0.97}};
  const ScanFit fit = fit_of(scanned(sheet, 9, true, above), scanned(sheet, 10, true, above));
  EXPECT_FALSE(is_held(fit));
}

TEST(AlignScans, OfTwoDifferentPartsAreNotHeld) {
  if (!test::is_long_run()) {
    GTEST_SKIP() << "Cli.ChangesOfTwoDifferentThings… tries it; ./dev prove tests runs this one";
  }
  const ScanFit fit = fit_of(scanned(test::bracket(), 11), scanned(test::housing(), 12));
  EXPECT_FALSE(is_held(fit));
}

TEST(AlignScans, WithTooFewPointsSayNothing) {
  Scan few;
  few.points_mm = Eigen::Matrix3Xd::Random(3, 20);
  const ScanFit fit = align_scans(few, few, {}, Rng(1));
  EXPECT_FALSE(fit.alignment.found);
  EXPECT_FALSE(fit.alignment.doubts.empty());
}

}  // namespace
}  // namespace trammel
