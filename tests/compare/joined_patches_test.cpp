#include "trammel/compare/joined_patches.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

namespace trammel {
namespace {

using Eigen::Index;

/// A row of ten points a millimetre apart along x that look up, then ten a step of 5 mm higher.
class Rows : public ::testing::Test {
 protected:
  Rows() : points_(3, 20), normals_(Eigen::Vector3d::UnitZ().replicate(1, 20)), sideways_(20, 0) {
    for (Index i = 0; i < points_.cols(); ++i)
      points_.col(i) << static_cast<double>(i % 10), 0.0, i < 10 ? 0.0 : 5.0;
  }

  Eigen::Matrix3Xd points_, normals_;
  std::vector<std::uint8_t> sideways_;
};

TEST_F(Rows, AreJoinedAlongTheSurfaceAlone) {
  normals_.col(6) << 1, 0, 0;  // across the row
  const PointIndex index(points_);
  const ScannedSurface scanned{points_, normals_, index, sideways_, 1.0};
  std::vector<Index> found = joined_on_surface(scanned, 5);
  std::sort(found.begin(), found.end());
  EXPECT_EQ(found, (std::vector<Index>{3, 4, 7}))
      << "two steps away at most, and not the higher row";
}

TEST_F(Rows, MakePatchesThatAreJudgedOnceEachByWhatLiesBesideThem) {
  const PointIndex index(points_);
  const ScannedSurface scanned{points_, normals_, index, sideways_, 1.0};
  // Of the lower row 0 to 2 and 6 to 9, of the upper one all: three patches.
  const auto is_member = [](Index point) { return point < 3 || point > 5; };
  std::vector<JoinedPatch> patches;
  const std::vector<Index> chosen =
      points_of_patches(scanned, is_member, [&](const JoinedPatch& patch) {
        patches.push_back(patch);
        return !patch.beside.empty();
      });
  ASSERT_EQ(patches.size(), 3U);
  EXPECT_EQ(patches[0].members.size(), 3U);
  EXPECT_EQ(patches[0].beside.size(), 2U) << "3 and 4, each once";
  EXPECT_EQ(patches[1].members.size(), 4U);
  EXPECT_EQ(patches[1].beside.size(), 2U) << "4 and 5";
  EXPECT_TRUE(patches[2].beside.empty());
  EXPECT_EQ(chosen, (std::vector<Index>{0, 1, 2, 6, 7, 8, 9}));
}

TEST_F(Rows, OfWhichReadingsAreSetAsideHaveNoDistance) {
  Deviations deviations;
  deviations.reading.assign(2, Reading::Measured);
  deviations.signed_mm = Eigen::Vector2d(1.0, 2.0);
  set_beside({1}, deviations);
  EXPECT_EQ(deviations.reading[0], Reading::Measured);
  EXPECT_EQ(deviations.reading[1], Reading::Beside);
  EXPECT_EQ(deviations.signed_mm[0], 1.0);
  EXPECT_TRUE(std::isnan(deviations.signed_mm[1]));
}

}  // namespace
}  // namespace trammel
