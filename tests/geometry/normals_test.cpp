#include "trammel/geometry/normals.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "trammel/base/parallel.hpp"
#include "trammel/base/random.hpp"

namespace trammel {
namespace {

Eigen::Matrix3Xd points_on_sphere(double radius_mm, int count, Rng rng) {
  Eigen::Matrix3Xd points(3, count);
  for (Eigen::Index i = 0; i < count; ++i)
    points.col(i) = radius_mm * rng.direction();
  return points;
}

TEST(PlaneThrough, LiesAtTheMeanAcrossTheLeastSpread) {
  Eigen::Matrix3Xd points(3, 4);
  points << 0, 4, 0, 4, 0, 0, 2, 2, 5, 5, 5, 5;
  const LocalPlane plane = plane_through(points, {{0, 0.0}, {1, 4.0}, {2, 2.0}, {3, 4.5}});
  EXPECT_LT((plane.mean_mm - Eigen::Vector3d(2, 1, 5)).norm(), 1e-12);
  EXPECT_NEAR(std::abs(plane.spread.vectors(2, 0)), 1.0, 1e-12);
  // Sums of squares from the mean: 4 · 1² and 4 · 2².
  EXPECT_LT((plane.spread.values - Eigen::Vector3d(0, 4, 16)).norm(), 1e-12);
}

TEST(EstimateNormals, FindsThePlaneExactlyWhereThereIsNoNoise) {
  Rng rng(5);
  const Eigen::Vector3d normal = Eigen::Vector3d(1, -2, 3).normalized();
  const Eigen::Vector3d u = normal.unitOrthogonal();
  const Eigen::Vector3d v = normal.cross(u);
  Eigen::Matrix3Xd points(3, 400);
  for (Eigen::Index i = 0; i < 400; ++i)
    points.col(i) = 100.0 * normal + rng.uniform(-30.0, 30.0) * u + rng.uniform(-30.0, 30.0) * v;
  const auto normals = estimate_normals(points, PointIndex(points)).normals;
  // Rounding of coordinates near 100 is 1e-14, neighbours lie more than 1 mm apart; the closed-form
  // eigenvector loses about half the digits of that.
  for (Eigen::Index i = 0; i < 400; ++i) {
    EXPECT_NEAR(std::abs(normals.col(i).dot(normal)), 1.0, 1e-9);
    EXPECT_NEAR(normals.col(i).norm(), 1.0, 1e-12);
  }
}

TEST(EstimateNormals, FollowsASphereWithinTheAngleOfItsNeighbourhood) {
  constexpr int kCount = 5000;
  const auto points = points_on_sphere(20.0, kCount, Rng(6));
  const auto normals = estimate_normals(points, PointIndex(points)).normals;
  // 12 of 5,000 points fill a cap of half-angle acos(1 − 2·12/5000) = 5.6°. The fitted plane is
  // square to the direction of the neighbours' mean, which lies inside the cap; twice the cap's
  // half-angle leaves room for neighbourhoods of random shape.
  for (Eigen::Index i = 0; i < kCount; ++i)
    EXPECT_GT(std::abs(normals.col(i).dot(points.col(i).normalized())),
              std::cos(2.0 * 5.6 * 3.14159265358979 / 180.0));
}

TEST(EstimateNormals, GivesTheSameBitsOnAnyThreadCount) {
  const auto points = points_on_sphere(20.0, 5000, Rng(7));
  const PointIndex index(points);
  const auto once = [&](int threads) {
    const ThreadLimit limit(threads);
    return estimate_normals(points, index).normals;
  };
  const Eigen::Matrix3Xd one = once(1);
  EXPECT_TRUE((one.array() == once(2).array()).all());
  EXPECT_TRUE((one.array() == once(4).array()).all());
}

/// Chords of a circle, and the gap between two parallel faces, whichever way the second normal
/// looks.
TEST(HeightOnMeanNormal, IsNoneOnAFaceCurvedAlikeAndTheGapFromFaceToFace) {
  const auto out_at = [](double turn) {
    return Eigen::Vector3d(std::cos(turn), std::sin(turn), 0.0);
  };
  for (const double sign : {1.0, -1.0}) {
    const Eigen::Vector3d chord = 8.0 * (out_at(0.7) - out_at(0.3));
    EXPECT_NEAR(height_on_mean_normal(chord, out_at(0.3), sign * out_at(0.7)), 0.0, 1e-12);
    const Eigen::Vector3d through(3.0, -2.0, -1.5);
    EXPECT_NEAR(
        height_on_mean_normal(through, Eigen::Vector3d::UnitZ(), sign * Eigen::Vector3d::UnitZ()),
        -1.5, 1e-12);
  }
}

}  // namespace
}  // namespace trammel
