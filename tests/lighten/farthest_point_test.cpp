#include "trammel/lighten/farthest_point.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/base/random.hpp"
#include "trammel/geometry/sample_surface.hpp"

namespace trammel {
namespace {

TEST(FarthestPoint, OfAMeshFromItselfIsNothing) {
  const Mesh mesh = test::bracket();
  const FarthestPoint found = farthest_point(mesh, SurfaceIndex(mesh), 0.01);
  EXPECT_TRUE(found.proven);
  EXPECT_LT(found.at_most_mm, 1e-9);
}

TEST(FarthestPoint, OfARaisedPlateIsItsRise) {
  const Mesh plate = test::box({0, 0, 0}, {100, 60, 5});
  const Mesh raised = test::moved(plate, Eigen::Isometry3d(Eigen::Translation3d(0, 0, 0.02)));
  const SurfaceIndex index(plate);
  const FarthestPoint within = farthest_point(raised, index, 0.021);
  EXPECT_TRUE(within.proven);
  EXPECT_NEAR(within.at_most_mm, 0.02, 1e-9);
  EXPECT_LE(within.at_most_mm, 0.021);
  const FarthestPoint beyond = farthest_point(raised, index, 0.019);
  EXPECT_FALSE(beyond.proven);
  EXPECT_GT(beyond.at_least_mm, 0.019);
}

TEST(FarthestPoint, SeesWhatNoVertexShows) {
  // The sphere's faces bulge between vertices that both meshes share: corner distances are all 0.
  const Mesh coarse = test::sphere(50, 2), fine = test::sphere(50, 5);
  const SurfaceIndex on_fine(fine);
  const FarthestPoint blind = farthest_point(coarse, on_fine, 5.0);
  EXPECT_TRUE(blind.proven);
  Rng rng(1);
  const SurfaceSamples samples = sample_surface(coarse, 20'000, rng);
  double sampled = 0.0;
  for (Eigen::Index i = 0; i < samples.points_mm.cols(); ++i)
    sampled = std::max(sampled, on_fine.nearest(samples.points_mm.col(i)).distance_mm);
  EXPECT_GT(sampled, 0.5);
  // A bound that samples contradict would be no proof, whatever the limit.
  for (const double limit : {5.0, 1.2 * sampled, 1.01 * sampled}) {
    const FarthestPoint found = farthest_point(coarse, on_fine, limit);
    EXPECT_TRUE(found.proven) << limit;
    EXPECT_GE(found.at_most_mm, sampled);
    EXPECT_LE(found.at_most_mm, limit);
  }
  EXPECT_FALSE(farthest_point(coarse, on_fine, 0.95 * sampled).proven);
}

TEST(FarthestPoint, FindsAHoleThatWasClosedOver) {
  const Mesh whole = test::plate(80, 60, 4), holed = test::plate(80, 60, 4, {{{40, 30}, 12.0}});
  const FarthestPoint over = farthest_point(whole, SurfaceIndex(holed), 0.05);
  EXPECT_FALSE(over.proven);
  EXPECT_GT(over.at_least_mm, 0.05);
}

TEST(FarthestPoint, IsTheSameOnAnyNumberOfThreads) {
  const Mesh coarse = test::sphere(50, 3), fine = test::sphere(50, 5);
  const SurfaceIndex index(fine);
  std::vector<FarthestPoint> found;
  for (const int threads : {1, 2, 4}) {
    const ThreadLimit limit(threads);
    found.push_back(farthest_point(coarse, index, 0.6));
  }
  for (const FarthestPoint& one : found) {
    EXPECT_EQ(one.at_most_mm, found[0].at_most_mm);
    EXPECT_EQ(one.where_mm, found[0].where_mm);
    EXPECT_EQ(one.looked_up, found[0].looked_up);
  }
}

}  // namespace
}  // namespace trammel
