#include "trammel/align/scene_search.hpp"

#include <gtest/gtest.h>

#include "study/random_scenes.hpp"
#include "support/long_run.hpp"
#include "support/shapes.hpp"
#include "trammel/align/motions.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

TEST(SearchScene, HoldsTheTruthForAPartOfAFortiethOfTheScan) {
  const Mesh part = test::bracket();
  const CoarseDesign design(part, Rng(1));
  const test::SceneScan made = test::scan_in_scene(part, test::rounds(60'000, 120'000), Rng(41));
  EXPECT_LT(made.part_share, 0.05);
  const auto found = search_scene(made.scan, design);
  double nearest_mm = design.diagonal_mm;
  for (const RoughPose& pose : found)
    nearest_mm = std::min(nearest_mm,
                          corner_distance_mm(pose.T_design_scan, made.T_design_scan, design.box));
  EXPECT_LT(nearest_mm, 0.01 * design.diagonal_mm);
}

TEST(SearchScene, IsTheSameOnAnyThreadCount) {
  const Mesh part = test::bracket();
  const CoarseDesign design(part, Rng(1));
  const test::SceneScan made = test::scan_in_scene(part, 12'000, Rng(42));
  const auto once = [&](int threads) {
    const ThreadLimit limit(threads);
    return search_scene(made.scan, design);
  };
  const auto one = once(1), four = once(4);
  ASSERT_EQ(one.size(), four.size());
  for (std::size_t i = 0; i < one.size(); ++i)
    EXPECT_EQ(one[i].T_design_scan.matrix(), four[i].T_design_scan.matrix());
}

TEST(SearchScene, FindsNothingInNothing) {
  const CoarseDesign design(test::bracket(), Rng(1));
  EXPECT_TRUE(search_scene(Scan{}, design).empty());
}

TEST(CutOut, KeepsWhatLiesInTheGrownBoxAndItsNormals) {
  Scan scan;
  scan.points_mm.resize(3, 3);
  scan.points_mm << 0.5, 1.4, 3.0, 0.5, 0.5, 0.5, 0.5, 0.5, 0.5;
  scan.normals = Eigen::Matrix3d::Identity();
  const Box unit{{0, 0, 0}, {1, 1, 1}};
  const Scan near = cut_out(scan, Eigen::Isometry3d::Identity(), unit, 0.5);
  ASSERT_EQ(near.size(), 2);
  EXPECT_EQ(near.normals.col(1), Eigen::Vector3d::UnitY());
  Eigen::Isometry3d shifted = Eigen::Isometry3d::Identity();
  shifted.translation().x() = -2.5;  // the third point comes to x = 0.5
  EXPECT_EQ(cut_out(scan, shifted, unit, 0.5).normals.col(0), Eigen::Vector3d::UnitZ());
}

}  // namespace
}  // namespace trammel
