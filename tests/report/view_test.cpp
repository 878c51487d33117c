#include "trammel/report/view.hpp"

#include <gtest/gtest.h>

#include <Eigen/Geometry>
#include <set>

namespace trammel {
namespace {

TEST(View, AxesAreOrthonormalAndRightHanded) {
  for (const View& view : all_views()) {
    EXPECT_NEAR((view.right.cross(view.up) - view.towards).norm(), 0.0, 1e-12);
    EXPECT_NEAR(view.right.dot(view.up), 0.0, 1e-12);
    EXPECT_NEAR(view.right.norm(), 1.0, 1e-12);
  }
}

TEST(View, ThereAreTwentySixOfDifferentTitles) {
  std::set<std::string> titles;
  for (const View& view : all_views())
    titles.insert(view_title(view));
  EXPECT_EQ(titles.size(), 26U);
  EXPECT_EQ(titles.count("from +X −Y +Z"), 1U);
  EXPECT_EQ(titles.count("from −Z"), 1U);
}

TEST(View, ZPointsUpUnlessLookedAlong) {
  EXPECT_GT(project(view_from({1, -1, 1}), Eigen::Vector3d::UnitZ()).y(), 0.5);
  EXPECT_NEAR(project(view_from({1, -1, 1}), Eigen::Vector3d::UnitZ()).x(), 0.0, 1e-12);
  EXPECT_NEAR(project(view_from({0, 0, 1}), Eigen::Vector3d::UnitY()).y(), 1.0, 1e-12);
}

TEST(View, TheOutlineHoldsAllPoints) {
  Eigen::Matrix3Xd points(3, 3);
  points << 0, 4, 1, 0, 0, 2, 1, 5, -3;
  const FlatBox box = outline_of(view_from({0, -1, 0}), points);
  EXPECT_NEAR(box.width(), 4.0, 1e-12);
  EXPECT_NEAR(box.height(), 8.0, 1e-12);
}

}  // namespace
}  // namespace trammel
