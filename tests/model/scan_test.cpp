#include "trammel/model/scan.hpp"

#include <gtest/gtest.h>

#include "trammel/base/error.hpp"

namespace trammel {
namespace {

Scan scan_with(Eigen::Index points, Eigen::Index normals) {
  Scan scan;
  scan.points_mm = Eigen::Matrix3Xd::Zero(3, points);
  scan.normals = Eigen::Matrix3Xd::Zero(3, normals);
  return scan;
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
