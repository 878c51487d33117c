#include "trammel/geometry/own_face.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "trammel/base/random.hpp"

namespace trammel {
namespace {

constexpr double kNoise = 0.03;

/// Both faces of a sheet across z, 40 × 40 mm, the upper at z = 0: upper points first.
Eigen::Matrix3Xd sheet(Eigen::Index upper, Eigen::Index lower, double thickness_mm) {
  Rng rng(5);
  Eigen::Matrix3Xd points(3, upper + lower);
  for (Eigen::Index i = 0; i < points.cols(); ++i) {
    const double z = i < upper ? 0.0 : -thickness_mm;
    points.col(i) << rng.uniform(0, 40), rng.uniform(0, 40), z + kNoise * rng.normal();
  }
  return points;
}

/// Share of 200 upper points whose plane lies within two noises of the upper face, level to 3°.
double share_on_own(const Eigen::Matrix3Xd& points) {
  const PointIndex index(points);
  const OwnFaces faces(points, index);
  int right = 0;
  for (Eigen::Index i = 0; i < 200; ++i) {
    const auto face = faces.at(points.col(i));
    if (!face) continue;
    const Eigen::Vector3d normal = face->plane.spread.vectors.col(0);
    const Eigen::Vector3d& mean = face->plane.mean_mm;
    right += std::abs(mean.z()) < 2.0 * kNoise && std::abs(normal.z()) > 0.9986 ? 1 : 0;
  }
  return right / 200.0;
}

TEST(OwnFaces, KeepTheFacesOfThinSheetApart) {
  EXPECT_GT(share_on_own(sheet(1000, 1000, 1.0)), 0.95);
  // The face scanned half as densely as the other is a third of its neighbours, the least that is
  // looked for: no longer nearly all.
  EXPECT_GT(share_on_own(sheet(700, 1400, 1.0)), 0.75);
}

TEST(OwnFaces, TakeAllOfOneFace) {
  const Eigen::Matrix3Xd points = sheet(2000, 0, 1.0);
  const PointIndex index(points);
  const auto face = OwnFaces(points, index).at(points.col(0));
  ASSERT_TRUE(face);
  EXPECT_NEAR(face->scatter_mm, kNoise, 0.4 * kNoise);  // of 27 degrees of freedom: 3 of 14 %
}

TEST(OwnFaces, FindNoneInARow) {
  Eigen::Matrix3Xd row = Eigen::Matrix3Xd::Zero(3, 100);
  for (Eigen::Index i = 0; i < row.cols(); ++i)
    row(0, i) = 0.5 * static_cast<double>(i);
  const PointIndex index(row);
  EXPECT_FALSE(OwnFaces(row, index).at(row.col(50)));
}

}  // namespace
}  // namespace trammel
