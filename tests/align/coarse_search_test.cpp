#include "trammel/align/coarse_search.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/align/motions.hpp"

namespace trammel {
namespace {

TEST(CoarseSearch, PutsTheTruthFirstFromAnyPose) {
  const Mesh part = test::bracket();
  const CoarseDesign design(part, Rng(1));
  for (std::uint64_t seed = 0; seed < 3; ++seed) {
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
