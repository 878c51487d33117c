#include "trammel/align/coarse_search.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "study/study_parts.hpp"
#include "support/long_run.hpp"
#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/align/motions.hpp"
#include "trammel/align/rivals.hpp"

namespace trammel {
namespace {

TEST(CoarseSearch, PutsTheTruthFirstFromAnyPose) {
  const Mesh part = test::bracket();
  const CoarseDesign design(part, Rng(1));
  const auto seeds = static_cast<std::uint64_t>(test::rounds(1, 3));
  for (std::uint64_t seed = 0; seed < seeds; ++seed) {
    test::ScannerSettings settings;
    settings.points = 15000;
    const auto made = test::scan_of(part, settings, Rng(seed));
    const auto found = coarse_search(sample_scan(made.scan, 5000, Rng(seed)), design);
    ASSERT_FALSE(found.empty());
    // 0.4 % of the diagonal: what the exact fit starts from.
    EXPECT_LT(corner_distance_mm(found.front().T_design_scan, made.T_design_scan, design.box),
              0.004 * design.diagonal_mm);
  }
}

/// A lump without an edge, a flat face or a symmetry.
Mesh lump() {
  return test::displaced(test::sphere(40.0, 5), [](const Eigen::Vector3d& p) {
    const double bulge = 5.0 * std::sin(p.x() / 14.0 + 0.4) + 4.0 * std::sin(p.y() / 11.0) +
                         3.0 * std::sin((p.z() - p.x()) / 9.0 + 1.1);
    return Eigen::Vector3d(bulge * p.normalized() + Eigen::Vector3d(0.35 * p.x(), 0, 0));
  });
}

/// Where the contest puts the part, when no pair of points votes for anything: without a reference
/// point there is none.
double error_by_rotations_alone_mm(const Mesh& part, const test::VirtualScan& made,
                                   std::uint64_t seed) {
  const CoarseDesign design(part, Rng(1));
  const ScanSample sample = sample_scan(made.scan, 10000, Rng(seed));
  CoarseSearchSettings settings;
  settings.reference_points = 0;
  const SurfaceIndex index(part);
  const FineStage stage(sample, index, design);
  const Contest contest = hold_contest(stage, coarse_search(sample, design, settings));
  return corner_distance_mm(contest.winner.fit.T_design_scan, made.T_design_scan, design.box);
}

TEST(CoarseSearch, NeedsNoFeaturesWhereAllRoundWasScanned) {
  const auto seeds = static_cast<std::uint64_t>(test::rounds(1, 4));
  for (const Mesh& part : {lump(), test::panel(), test::bracket()})
    for (std::uint64_t seed = 0; seed < seeds; ++seed) {
      test::ScannerSettings settings;
      settings.points = 15000;
      const auto made = test::scan_of(part, settings, Rng(20 + seed));
      EXPECT_LT(error_by_rotations_alone_mm(part, made, seed), 0.1) << seed;
    }
}

TEST(BestDistinct, KeepsTheBetterOfTwoNearPoses) {
  const Box box{{0, 0, 0}, {10, 10, 10}};
  const auto at = [](double x, double score) {
    RoughPose pose;
    pose.T_design_scan.translation().x() = x;
    pose.score = score;
    return pose;
  };
  const auto kept =
      best_distinct({at(0.0, 0.2), at(0.5, 0.9), at(5.0, 0.4), at(9.0, 0.1)}, box, 1.0, 2);
  ASSERT_EQ(kept.size(), 2U);
  EXPECT_EQ(kept[0].T_design_scan.translation().x(), 0.5);
  EXPECT_EQ(kept[1].T_design_scan.translation().x(), 5.0);
}

}  // namespace
}  // namespace trammel
