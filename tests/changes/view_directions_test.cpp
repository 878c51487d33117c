#include "trammel/changes/view_directions.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "trammel/base/constants.hpp"

namespace trammel {
namespace {

TEST(ViewDirections, AreSpreadWithin45DegreesOfTheMiddleOne) {
  const Eigen::Vector3d out = Eigen::Vector3d(1, -2, 0.5).normalized();
  const Eigen::Matrix3Xd all = directions_about(out);
  ASSERT_EQ(all.cols(), 37);
  double leans_most = 0.0;
  for (Eigen::Index i = 0; i < all.cols(); ++i) {
    EXPECT_NEAR(all.col(i).norm(), 1.0, 1e-12);
    leans_most = std::max(leans_most, std::acos(std::min(1.0, all.col(i).dot(out))));
    for (Eigen::Index k = 0; k < i; ++k)
      EXPECT_LT(all.col(i).dot(all.col(k)), std::cos(0.17)) << "10° apart at least";
  }
  EXPECT_NEAR(leans_most, kMostLean, 1e-9);
  EXPECT_LT((all.rowwise().mean().normalized() - out).norm(), 1e-9);
}

TEST(ViewDirections, AreClosedWhereSoManyAre) {
  // All but the middle one of 37; less than half.
  const auto to_one_side = [](const Eigen::Vector3d& way) { return way.x() > 1e-9; };
  const auto nearly_all = [](const Eigen::Vector3d& way) { return way.z() < 1.0 - 1e-9; };
  EXPECT_TRUE(are_closed_about(Eigen::Vector3d::UnitZ(), 0.9, nearly_all));
  EXPECT_FALSE(are_closed_about(Eigen::Vector3d::UnitZ(), 1.0, nearly_all));
  EXPECT_FALSE(are_closed_about(Eigen::Vector3d::UnitZ(), 0.75, to_one_side));
}

TEST(ViewDirections, WidestGapGoesRoundTheCircle) {
  EXPECT_DOUBLE_EQ(widest_gap({}), 2.0 * kPi);
  EXPECT_DOUBLE_EQ(widest_gap({1.0}), 2.0 * kPi);
  EXPECT_DOUBLE_EQ(widest_gap({0.5 * kPi, -0.5 * kPi, 0.0}), kPi);
}

}  // namespace
}  // namespace trammel
