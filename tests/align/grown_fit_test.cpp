#include "trammel/align/grown_fit.hpp"

#include <gtest/gtest.h>

#include "study/study_parts.hpp"
#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/align/align.hpp"
#include "trammel/align/best_fit.hpp"
#include "trammel/align/motions.hpp"

namespace trammel {
namespace {

using Eigen::Isometry3d;
using Eigen::Vector3d;

/// Grown about the middle of its box, by these factors along the axes.
Mesh grown(const Mesh& part, const Vector3d& by) {
  const Vector3d middle = bounding_box(part.vertices_mm).center_mm();
  return test::displaced(part, [&](const Vector3d& p) {
    return Vector3d((by - Vector3d::Ones()).cwiseProduct(p - middle));
  });
}

test::VirtualScan scan_of_grown(const Mesh& part, std::uint64_t seed) {
  test::ScannerSettings scanner;
  scanner.points = 30000;
  return test::scan_of(part, scanner, Rng(seed));
}

class ShrunkPart : public testing::TestWithParam<double> {};

// Used to be held at one end or the other, by chance: a plate that shrank by 1.5 % lay to ±0.2 mm,
// and was undecided.
TEST_P(ShrunkPart, IsHeldFirmlyAndItsScaleIsTold) {
  const double by = GetParam();
  const Mesh part = by < 1.0 ? test::bracket() : test::housing();
  const SurfaceIndex design(part);
  const auto made = scan_of_grown(grown(part, Vector3d::Constant(by)), 5);
  const Alignment a = align(made.scan, design, {}, Rng(5));
  EXPECT_TRUE(a.is_sure()) << (a.doubts.empty() ? "" : a.doubts.front());
  // 0.03 mm of noise over thousands of points, and no misfit in it.
  EXPECT_LT(a.standard_error_mm, 0.01);
  EXPECT_NEAR(a.scale.uniform, by, 4.0 * a.scale.standard_error + 1e-5);
  EXPECT_LT(a.scale.standard_error, 2e-4);
}

INSTANTIATE_TEST_SUITE_P(Scales, ShrunkPart, testing::Values(0.98, 1.01));

TEST(GrownFit, TellsGrowthAlongOneAxis) {
  const Mesh part = test::housing();
  const SurfaceIndex design(part);
  const Vector3d by(1.0, 0.985, 1.0);
  const auto made = scan_of_grown(grown(part, by), 6);
  const Alignment a = align(made.scan, design, {}, Rng(6));
  EXPECT_TRUE(a.is_sure());
  for (int axis = 0; axis < 3; ++axis)
    EXPECT_NEAR(a.scale.axes[axis], by[axis], 4.0 * a.scale.axes_standard_error[axis] + 1e-5);
}

// The twin: with every point, its face known, the least squares of the distances along it.
TEST(GrownFit, LaysThePartByLeastSquares) {
  const Mesh part = test::bracket();
  const SurfaceIndex design(part);
  const auto made = scan_of_grown(grown(part, Vector3d::Constant(0.98)), 7);
  const ScanSample sample = sample_scan(made.scan, 8000, Rng(7));
  const CoarseDesign coarse(part, Rng(8));
  const FineStage stage(sample, design, coarse);
  const Contest rigid = find_best_pose(stage);
  const auto fit = fit_grown(stage, rigid.winner.fit);
  ASSERT_TRUE(fit);
  EXPECT_NEAR((fit->growth - Vector3d::Constant(0.98)).norm(), 0.0, 5e-4);
  const FineStage sized(fit->sized, design, coarse);
  Rival at = rigid.winner;
  at.fit.T_design_scan = fit->T_design_scan;
  at.fit.sigma_mm = fit->sigma_mm;
  const Rival held = as_it_is(stage, sized, at);

  // The cost anew, by hand, in the pose and a step to each side of it.
  auto planes =
      correspond(sized.scan, design, fit->T_design_scan, sized.scan.size(), 5.0 * fit->sigma_mm);
  balance_directions(planes);
  const auto cost = [&](const Isometry3d& T) {
    double sum = 0.0;
    for (std::size_t i = 0; i < planes.size(); ++i) {
      const Correspondence& c = planes[i];
      const Vector3d foot = c.p_design - c.residual_mm * c.normal;
      const double off =
          c.normal.dot(T * sample.points_mm.col(static_cast<Eigen::Index>(i)) - foot);
      sum += c.balance * tukey_weight(c, fit->sigma_mm) * off * off;
    }
    return sum;
  };
  const double here = cost(held.fit.T_design_scan);
  EXPECT_LT(here, cost(rigid.winner.fit.T_design_scan));
  const Vector3d middle = coarse.box.center_mm();
  for (int k = 0; k < 6; ++k) {
    for (const double sign : {1.0, -1.0}) {
      Eigen::Matrix<double, 6, 1> step = Eigen::Matrix<double, 6, 1>::Zero();
      step[k] = sign * (k < 3 ? 1e-4 : 1e-2);
      EXPECT_LT(here, cost(small_motion(step, middle) * held.fit.T_design_scan)) << k << sign;
    }
  }
}

// What is not growth is not told as growth: the robust fit to the good part stays.
TEST(GrownFit, LeavesBentAndGoodPartsToTheRigidFit) {
  const Mesh part = test::bracket();
  const SurfaceIndex design(part);
  const Mesh bent = test::displaced(test::refined(part, 4.0), [](const Vector3d& p) {
    return Vector3d(0.05 * std::max(0.0, p.z() - 3.0), 0, 0);
  });
  for (const Mesh& made_as : {part, bent}) {
    const auto made = scan_of_grown(made_as, 9);
    const ScanSample sample = sample_scan(made.scan, 8000, Rng(9));
    const CoarseDesign coarse(part, Rng(10));
    const FineStage stage(sample, design, coarse);
    EXPECT_FALSE(fit_grown(stage, find_best_pose(stage).winner.fit));
  }
}

}  // namespace
}  // namespace trammel
