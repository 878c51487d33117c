#include "trammel/judge/point_patches.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

/// Nine points 0.5 mm apart upwards from (10, 10, 0), then five from (30, 10, 0).
Eigen::Matrix3Xd two_rows() {
  Eigen::Matrix3Xd points_mm(3, 14);
  for (int i = 0; i < 14; ++i)
    points_mm.col(i) = i < 9 ? Vector3d(10, 10, 0.5 * i) : Vector3d(30, 10, 0.5 * (i - 9));
  return points_mm;
}

std::vector<Index> all_but(int last, int count) {
  std::vector<Index> out;
  for (int i = 0; i < count - last; ++i)
    out.push_back(i);
  return out;
}

TEST(PointPatches, JoinsWhatLiesTogetherLargestFirst) {
  const auto patches = point_patches(two_rows(), all_but(0, 14), 1.0, 5);
  ASSERT_EQ(patches.size(), 2U);
  EXPECT_EQ(patches[0].points, 9);
  EXPECT_EQ(patches[1].points, 5);
  EXPECT_LT((patches[0].center_mm - Vector3d(10, 10, 2)).norm(), 1e-12);
}

TEST(PointPatches, FewPointsAreNoPatch) {
  EXPECT_EQ(point_patches(two_rows(), all_but(1, 14), 1.0, 5).size(), 1U);
  EXPECT_TRUE(point_patches(two_rows(), {}, 1.0, 5).empty());
}

TEST(PointPatches, FarApartPointsAreNoPatch) {
  EXPECT_TRUE(point_patches(3.0 * two_rows(), all_but(0, 14), 1.0, 2).empty());
}

}  // namespace
}  // namespace trammel
