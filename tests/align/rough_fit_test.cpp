#include "trammel/align/rough_fit.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/align/motions.hpp"

namespace trammel {
namespace {

struct RoughFit : testing::Test {
  Mesh part = test::bracket();
  Box box = bounding_box(part.vertices_mm);
  SurfaceSamples samples = sample_surface(part, 12000, Rng(1));
  FacingField field{samples, box};
  test::VirtualScan made = [this] {
    test::ScannerSettings settings;
    settings.points = 20000;
    return test::scan_of(part, settings, Rng(2));
  }();
  ScanSample scan = sample_scan(made.scan, 4000, Rng(3));
};

TEST_F(RoughFit, ScoresTheTruthNearOneAndAHalfTurnFarBelow) {
  const Eigen::Isometry3d truth = made.T_design_scan;
  EXPECT_GT(rough_score(scan, field, truth, 1000, 2.0), 0.9);
  Eigen::Isometry3d half_turn = Eigen::Isometry3d::Identity();
  half_turn.linear() = Eigen::Vector3d(-1, -1, 1).asDiagonal();
  half_turn.translation() = box.center_mm() - half_turn.linear() * box.center_mm();
  EXPECT_LT(rough_score(scan, field, half_turn * truth, 1000, 2.0), 0.75);
}

TEST_F(RoughFit, ComesHomeFromTwelveDegreesAndAFewMillimetres) {
  Rng rng(4);
  for (int trial = 0; trial < 20; ++trial) {
    Eigen::Matrix<double, 6, 1> push;
    push << 0.2 * rng.direction(), 4.0 * rng.direction();
    const Eigen::Isometry3d start = small_motion(push, box.center_mm()) * made.T_design_scan;
    const Eigen::Isometry3d found = rough_fit(scan, field, start, {800, 20, 8.0, 1.0});
    // A rough pose has to be right to what the exact fit starts from: 0.4 % of the diagonal, 0.5
    // mm.
    EXPECT_LT(corner_distance_mm(found, made.T_design_scan, box), 0.5);
  }
}

// It is beyond what a square can hold: the pose became no number, and the look-up left its table.
TEST_F(RoughFit, LeavesThePoseWhereItWasForAPointBeyondAllMeasure) {
  scan.points_mm.col(0) = Eigen::Vector3d(1e300, 1e300, -1e300);
  const Eigen::Isometry3d found = rough_fit(scan, field, made.T_design_scan, {800, 20, 8.0, 1.0});
  EXPECT_EQ(found.matrix(), made.T_design_scan.matrix());
  EXPECT_GT(rough_score(scan, field, found, 1000, 2.0), 0.9);
}

}  // namespace
}  // namespace trammel
