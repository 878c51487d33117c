#include "trammel/align/pair_votes.hpp"

#include <gtest/gtest.h>

#include <algorithm>

#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/align/motions.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

double best_corner_error_mm(const std::vector<Eigen::Isometry3d>& poses,
                            const Eigen::Isometry3d& truth, const Box& box) {
  double best = 1e9;
  for (const Eigen::Isometry3d& pose : poses)
    best = std::min(best, corner_distance_mm(pose, truth, box));
  return best;
}

/// Half a bin of the turn (6°) and the spacing of the samples: a twelfth of the diagonal is what
/// the rough fit comes home from.
constexpr double kNearShare = 1.0 / 12.0;

TEST(PosesFromPairs, HoldTheTruthForAPartAmongClutter) {
  const Mesh part = test::housing();
  const Box box = bounding_box(part.vertices_mm);
  const auto design = sample_surface(part, 500, Rng(1));
  for (std::uint64_t seed = 0; seed < 5; ++seed) {
    test::ScannerSettings settings;
    settings.points = 10000;
    settings.bench = true;
    const auto made = test::scan_of(part, settings, Rng(seed));
    const ScanSample scan = sample_scan(made.scan, 3000, Rng(seed));
    const auto poses = poses_from_pairs(design, box.diagonal_mm(), scan);
    EXPECT_LT(best_corner_error_mm(poses, made.T_design_scan, box), kNearShare * box.diagonal_mm());
  }
}

TEST(PosesFromPairs, HoldTheTruthWithoutOrientedNormals) {
  const Mesh part = test::bracket();
  const Box box = bounding_box(part.vertices_mm);
  const auto design = sample_surface(part, 500, Rng(1));
  test::ScannerSettings settings;
  settings.points = 10000;
  settings.with_normals = false;
  const auto made = test::scan_of(part, settings, Rng(3));
  const auto poses =
      poses_from_pairs(design, box.diagonal_mm(), sample_scan(made.scan, 3000, Rng(4)));
  EXPECT_LT(best_corner_error_mm(poses, made.T_design_scan, box), kNearShare * box.diagonal_mm());
}

TEST(PosesFromPairs, AreTheSameOnAnyThreadCount) {
  const Mesh part = test::bracket();
  const auto design = sample_surface(part, 300, Rng(1));
  test::ScannerSettings settings;
  settings.points = 5000;
  const ScanSample scan = sample_scan(test::scan_of(part, settings, Rng(5)).scan, 2000, Rng(6));
  const auto once = [&](int threads) {
    const ThreadLimit limit(threads);
    return poses_from_pairs(design, 121.0, scan);
  };
  const auto one = once(1), four = once(4);
  ASSERT_EQ(one.size(), four.size());
  for (std::size_t i = 0; i < one.size(); ++i)
    EXPECT_EQ(one[i].matrix(), four[i].matrix());
}

}  // namespace
}  // namespace trammel
