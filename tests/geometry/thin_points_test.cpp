#include "trammel/geometry/thin_points.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "support/shapes.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/random.hpp"
#include "trammel/geometry/curve_order.hpp"
#include "trammel/geometry/sample_surface.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Matrix3Xd;
using Eigen::Vector3d;

Matrix3Xd points_on(const Mesh& mesh, std::size_t count) {
  return sample_surface(mesh, count, Rng(2)).points_mm;
}

/// Areas from closed forms.
TEST(ThinPoints, TellsTheAreaOfASurfaceToAFactorOfTwo) {
  const double sphere = rough_area_mm2(points_on(test::sphere(30.0, 5), 200000));
  EXPECT_GT(sphere, 0.5 * 4.0 * kPi * 900.0);
  EXPECT_LT(sphere, 2.0 * 4.0 * kPi * 900.0);
  const double box = rough_area_mm2(points_on(test::box({0, 0, 0}, {200, 100, 5}), 200000));
  EXPECT_GT(box, 0.5 * 43000.0);
  EXPECT_LT(box, 2.0 * 43000.0);
}

TEST(ThinPoints, AreaIsNotMisledByStraysAndBrokenPoints) {
  Matrix3Xd points = points_on(test::sphere(30.0, 5), 200000);
  const double without = rough_area_mm2(points);
  for (Index i = 0; i < points.cols(); i += 500)
    points.col(i) << 4000.0, -9000.0, static_cast<double>(i);
  points(1, 7) = std::numeric_limits<double>::quiet_NaN();
  EXPECT_NEAR(rough_area_mm2(points), without, 0.3 * without);
}

TEST(ThinPoints, LeavesAUsualScanAlone) {
  const Matrix3Xd points = points_on(test::box({0, 0, 0}, {100, 60, 20}), 100000);
  EXPECT_EQ(thinning_cell_mm(points, {0.3, 300'000}), 0.0);  // fewer than are wanted
  EXPECT_EQ(thinning_cell_mm(points, {0.0, 1000}), 0.0);     // not asked for
  EXPECT_EQ(thinning_cell_mm(points, {0.3, 1000}), 0.0);     // no denser than the coarsest cell
  EXPECT_EQ(thinning_cell_mm(Matrix3Xd(3, 0), {0.3, 0}), 0.0);
}

TEST(ThinPoints, CellsAreAsFewAsAskedForAndNoCoarserThanAllowed) {
  const Matrix3Xd points = points_on(test::box({0, 0, 0}, {100, 60, 20}), 400000);
  const double edge_mm = thinning_cell_mm(points, {5.0, 10'000});
  const auto cells = static_cast<double>(curve_order(points, edge_mm).cell_start.size());
  EXPECT_GT(cells, 5'000.0);
  EXPECT_LT(cells, 20'000.0);
  EXPECT_EQ(thinning_cell_mm(points, {0.6, 10'000}), 0.6);
}

TEST(ThinPoints, TheOneNearestTheMeanStandsForItsCell) {
  Matrix3Xd points(3, 6);
  points << 0.0, 1.0, 0.4, 5.0, 9.0, 9.0,  //
      0.0, 0.0, 0.0, 0.0, 0.0, 0.0,        //
      0.0, 0.0, 0.0, 0.0, 0.0, 0.0;
  EXPECT_EQ(representatives(points, {{4, 1, 2, 0, 3, 5}, {0, 1, 4}}), (std::vector<int>{4, 2, 3}));
  EXPECT_TRUE(representatives(points, {}).empty());
}

}  // namespace
}  // namespace trammel
