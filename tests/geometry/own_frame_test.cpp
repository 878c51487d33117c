#include "trammel/geometry/own_frame.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <vector>

#include "support/shapes.hpp"
#include "support/shuffled_order.hpp"
#include "trammel/base/random.hpp"
#include "trammel/geometry/sample_surface.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Isometry3d;
using Eigen::Matrix3Xd;
using Eigen::Vector3d;

Matrix3Xd points_on(const Mesh& mesh) {
  Matrix3Xd points = sample_surface(mesh, 20000, Rng(3)).points_mm;
  Rng noise(4);
  for (Index i = 0; i < points.cols(); ++i)
    points.col(i) += 0.03 * noise.direction();
  return points;
}

Isometry3d some_motion(std::uint64_t seed, double far_mm) {
  Rng rng(seed);
  Isometry3d motion(rng.rotation());
  motion.pretranslate(far_mm * rng.direction());
  return motion;
}

Matrix3Xd in_own_frame(const Matrix3Xd& points) {
  return own_frame(points) * points;
}

/// Of the points that are finite; the largest distance between two that have one number.
double largest_difference(const Matrix3Xd& a, const Matrix3Xd& b) {
  double largest = 0.0;
  for (Index i = 0; i < a.cols(); ++i) {
    if (a.col(i).allFinite()) largest = std::max(largest, (a.col(i) - b.col(i)).norm());
  }
  return largest;
}

/// Nearly symmetric parts, whose scatters and third moments are nearly equal, are among them.
TEST(OwnFrame, IsTheSameWhereverThePointsWere) {
  for (const Mesh& mesh :
       {test::bracket(), test::housing(), test::flange(6), test::sphere(40, 4)}) {
    const Matrix3Xd points = points_on(mesh);
    const Matrix3Xd own = in_own_frame(points);
    for (const std::uint64_t seed : {1U, 2U, 3U}) {
      const Matrix3Xd moved = some_motion(seed, 500.0) * points;
      EXPECT_LT(largest_difference(own, in_own_frame(moved)), 1e-8);
    }
  }
}

TEST(OwnFrame, IsTheSameInWhateverOrderThePointsCome) {
  const Matrix3Xd points = points_on(test::bracket());
  const std::vector<Index> order = test::shuffled_order(points.cols());
  const Matrix3Xd shuffled = points(Eigen::all, order);
  const Matrix3Xd own = in_own_frame(points);
  EXPECT_LT(largest_difference(own(Eigen::all, order), in_own_frame(shuffled)), 1e-9);
}

TEST(OwnFrame, IsRightHandedAndHasTheMeanForOrigin) {
  const Matrix3Xd points = points_on(test::housing());
  const Isometry3d T_own_points = own_frame(points);
  EXPECT_NEAR(T_own_points.linear().determinant(), 1.0, 1e-12);
  EXPECT_TRUE((T_own_points.linear() * T_own_points.linear().transpose()).isIdentity(1e-12));
  EXPECT_LT((T_own_points * points).rowwise().mean().norm(), 1e-9);
}

/// One point at 10²⁰ mm would take all digits from the others if it had a say in the origin.
TEST(OwnFrame, StraysFarOffHaveNoSay) {
  const Matrix3Xd points = points_on(test::bracket());
  const Matrix3Xd own = in_own_frame(points);
  Matrix3Xd with(3, points.cols() + 4);
  with.leftCols(points.cols()) = points;
  with.col(points.cols()) << 1e20, -3e19, 0.0;
  with.col(points.cols() + 1) << 0.0, 1e9, 4e8;
  with.col(points.cols() + 2) << 0.0, -70000.0, 4e3;
  with.col(points.cols() + 3).setConstant(std::numeric_limits<double>::quiet_NaN());
  const Matrix3Xd seen = in_own_frame(with).leftCols(points.cols());
  EXPECT_LT(largest_difference(own, seen), 1e-9);
}

TEST(OwnFrame, OfNoExtentIsTheFrameItself) {
  EXPECT_TRUE(own_frame(Matrix3Xd(3, 0)).isApprox(Isometry3d::Identity()));
  EXPECT_TRUE(own_frame(Matrix3Xd::Constant(3, 5, 7.0)).isApprox(Isometry3d::Identity()));
  EXPECT_TRUE(own_frame(Matrix3Xd::Constant(3, 5, HUGE_VAL)).isApprox(Isometry3d::Identity()));
}

TEST(OwnFrame, OfPointsOnALineIsARigidMotionToo) {
  Matrix3Xd points(3, 100);
  for (Index i = 0; i < 100; ++i)
    points.col(i) = Vector3d(1.0, 2.0, 0.0) * static_cast<double>(i);
  const Isometry3d T_own_points = own_frame(points);
  EXPECT_TRUE((T_own_points.linear() * T_own_points.linear().transpose()).isIdentity(1e-12));
}

}  // namespace
}  // namespace trammel
