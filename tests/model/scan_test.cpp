#include "trammel/model/scan.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "trammel/base/error.hpp"

namespace trammel {
namespace {

Scan scan_with(Eigen::Index points, Eigen::Index normals) {
  Scan scan;
  scan.points_mm = Eigen::Matrix3Xd::Zero(3, points);
  scan.normals = Eigen::Matrix3Xd::Zero(3, normals);
  return scan;
}

TEST(MovedPoints, AreTurnedFirstAndShiftedThen) {
  // A quarter turn about z takes (1, 2, 3) to (−2, 1, 3).
  Eigen::Matrix3Xd points = Eigen::Vector3d(1, 2, 3).replicate(1, 3000);
  points.col(2999) << 0, 0, 5;
  const Eigen::Isometry3d motion = Eigen::Translation3d(10, 20, 30) *
                                   Eigen::AngleAxisd(std::acos(0.0), Eigen::Vector3d::UnitZ());
  const Eigen::Matrix3Xd moved = moved_points(motion, points);
  for (Eigen::Index i = 0; i < 2999; ++i)
    ASSERT_LT((moved.col(i) - Eigen::Vector3d(8, 21, 33)).norm(), 1e-13) << i;
  EXPECT_LT((moved.col(2999) - Eigen::Vector3d(10, 20, 35)).norm(), 1e-13);
}

TEST(MoveScan, MovesPointsAndTurnsNormals) {
  Scan scan;
  scan.points_mm = Eigen::Vector3d(1, 2, 3).replicate(1, 2);
  scan.normals = Eigen::Vector3d::UnitX().replicate(1, 2);
  move_scan(scan, Eigen::Translation3d(10, 20, 30) *
                      Eigen::AngleAxisd(std::acos(0.0), Eigen::Vector3d::UnitZ()));
  for (Eigen::Index i = 0; i < 2; ++i) {
    EXPECT_LT((scan.points_mm.col(i) - Eigen::Vector3d(8, 21, 33)).norm(), 1e-14);
    EXPECT_LT((scan.normals.col(i) - Eigen::Vector3d::UnitY()).norm(), 1e-15);
  }
}

TEST(Scan, HasNormalsWhenThereIsOneAPoint) {
  EXPECT_TRUE(scan_with(4, 4).has_normals());
  EXPECT_FALSE(scan_with(4, 0).has_normals());
  EXPECT_FALSE(scan_with(0, 0).has_normals());
  EXPECT_EQ(scan_with(4, 0).size(), 4);
}

TEST(CheckScan, AcceptsNoNormalsOrOneAPoint) {
  EXPECT_NO_THROW(check_scan(scan_with(4, 4)));
  EXPECT_NO_THROW(check_scan(scan_with(4, 0)));
  EXPECT_THROW(check_scan(scan_with(4, 3)), Error);
}

}  // namespace
}  // namespace trammel
