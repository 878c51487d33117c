#include "trammel/geometry/orient_normals.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "trammel/base/random.hpp"
#include "trammel/geometry/sample_surface.hpp"

namespace trammel {
namespace {

/// True normals with signs thrown.
Eigen::Matrix3Xd scrambled(Eigen::Matrix3Xd normals, Rng rng) {
  for (Eigen::Index i = 0; i < normals.cols(); ++i)
    if (rng.uniform() < 0.5) normals.col(i) = -normals.col(i);
  return normals;
}

TEST(OrientedNormals, PointOutOfABodyThatWasSeenAllRound) {
  const SurfaceSamples samples = sample_surface(test::torus(40, 12, 64, 32), 6000, Rng(3));
  const PointIndex index(samples.points_mm);
  const Eigen::Matrix3Xd found =
      oriented_normals(samples.points_mm, index, scrambled(samples.normals, Rng(4)));
  for (Eigen::Index i = 0; i < found.cols(); ++i)
    ASSERT_GT(found.col(i).dot(samples.normals.col(i)), 0.99) << i;
}

TEST(OrientedNormals, TurnEveryPieceOutwardByItself) {
  const Mesh two = test::together(
      {test::sphere(10, 4),
       test::moved(test::sphere(10, 4), Eigen::Isometry3d(Eigen::Translation3d(100, 0, 0)))});
  const SurfaceSamples samples = sample_surface(two, 4000, Rng(5));
  const PointIndex index(samples.points_mm);
  const Eigen::Matrix3Xd found =
      oriented_normals(samples.points_mm, index, scrambled(samples.normals, Rng(6)));
  for (Eigen::Index i = 0; i < found.cols(); ++i)
    ASSERT_GT(found.col(i).dot(samples.normals.col(i)), 0.9) << i;
}

TEST(OrientedNormals, OfNoPointsAreNone) {
  const Eigen::Matrix3Xd none(3, 0);
  EXPECT_EQ(oriented_normals(none, PointIndex(none), none).cols(), 0);
}

}  // namespace
}  // namespace trammel
