#include "trammel/changes/core_points.hpp"

#include <gtest/gtest.h>

#include "changes/flat_clouds.hpp"
#include "support/shapes.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/geometry/sample_surface.hpp"

namespace trammel {
namespace {

TEST(CellArea, IsTheVoronoiCellsWithinReach) {
  Eigen::Matrix2Xd square(2, 4);
  square << 2, -2, 0, 0, 0, 0, 2, -2;  // neighbours 2 away: the cell is 2 × 2
  EXPECT_NEAR(cell_area(square, Eigen::VectorXd::Constant(16, 10.0)), 4.0, 1e-12);
  // Nobody near: the polygon itself, of 16 corners at 1: 8 · sin(2π / 16).
  EXPECT_NEAR(cell_area(Eigen::Matrix2Xd(2, 0), Eigen::VectorXd::Constant(16, 1.0)),
              8.0 * std::sin(kPi / 8.0), 1e-12);
}

class FlatCores : public ::testing::Test {
 protected:
  FlatCores() : points_(test::flat_points(100.0, 12'000, 3.0, 0.04, Rng(21))), index_(points_) {}
  const Eigen::Matrix3Xd points_;
  const Eigen::Matrix3Xd none_{3, 0};
  const PointIndex index_;
  const Cloud cloud_{points_, none_, index_};
};

TEST_F(FlatCores, ScalesFollowDensityAndRoughness) {
  const ChangeScales scales = choose_scales(cloud_, cloud_);
  // 1.2 points a mm²: 25 of them in π d² / 4.
  EXPECT_NEAR(scales.cylinder_mm, 2.0 * std::sqrt(25.0 / 1.2 / kPi), 0.5);
  EXPECT_NEAR(scales.roughness_mm, 0.04, 0.004);
  EXPECT_GE(scales.normal_mm, 25.0 * 0.04);
  EXPECT_GE(scales.normal_mm, scales.cylinder_mm);
  EXPECT_NEAR(scales.depth_mm, 10.0, 1e-9);  // 6 % of 141 mm is less
}

TEST_F(FlatCores, RougherCloudGetsAWiderNormalScale) {
  const Eigen::Matrix3Xd rough = test::flat_points(100.0, 12'000, 0.0, 0.5, Rng(22));
  const PointIndex index(rough);
  const ChangeScales scales = choose_scales({rough, none_, index}, {rough, none_, index});
  EXPECT_GE(scales.normal_mm, 25.0 * 0.5 * 0.9);
}

TEST_F(FlatCores, LieApartOnTheSurfaceAndShareItsArea) {
  const ChangeScales scales = choose_scales(cloud_, cloud_);
  const CorePoints cores = spread_core_points(cloud_, scales);
  const PointIndex index(cores.points_mm);
  double worst = 0.0;
  for (Eigen::Index i = 0; i < cores.size(); ++i) {
    // Laid on its plane, a core point moves by the noise, hardly across.
    EXPECT_GT(index.nearest(cores.points_mm.col(i), 2).back().distance_mm, 0.99 * scales.core_mm);
    worst = std::max(worst, std::abs(cores.points_mm(2, i) - 3.0));
    EXPECT_GT(std::abs(cores.normals(2, i)), 0.99);
  }
  // On the plane of about 25 points at its middle, of 12 on the border, of 6 in a corner.
  EXPECT_LT(worst, 5.0 * 0.04 / std::sqrt(6.0));
  // Borders are cut by the farthest point in each of few directions: 5 % all in all.
  EXPECT_NEAR(cores.area_mm2.sum(), 1e4, 500.0);
}

TEST(CorePoints, LieOnEachFaceOfThinSheetByItself) {
  // They lay between its faces, one for both, so that half of a pad on one face had no core point.
  Eigen::Matrix3Xd points(3, 24'000);
  points << test::flat_points(100.0, 12'000, 0.0, 0.02, Rng(25)),
      test::flat_points(100.0, 12'000, 1.0, 0.02, Rng(26));
  Eigen::Matrix3Xd normals = Eigen::Vector3d::UnitZ().replicate(1, 24'000);
  normals.leftCols(12'000) *= -1.0;
  const PointIndex index(points);
  const Cloud sheet{points, normals, index, true};
  const ChangeScales scales = choose_scales(sheet, sheet);
  EXPECT_NEAR(scales.roughness_mm, 0.02, 0.005);  // of some twelve points a plane: a little less
  const CorePoints cores = spread_core_points(sheet, scales);
  for (Eigen::Index i = 0; i < cores.size(); ++i)
    EXPECT_NEAR(cores.points_mm(2, i), cores.normals(2, i) > 0.0 ? 1.0 : 0.0, 0.05);
  EXPECT_NEAR(cores.area_mm2.sum(), 2e4, 1000.0);
}

TEST(CorePoints, KeepTheSideThatTheCloudsNormalsTell) {
  const SurfaceSamples ball = sample_surface(test::sphere(40, 5), 20'000, Rng(23));
  const PointIndex index(ball.points_mm);
  const Cloud cloud{ball.points_mm, ball.normals, index};
  const CorePoints cores = spread_core_points(cloud, choose_scales(cloud, cloud));
  for (Eigen::Index i = 0; i < cores.size(); ++i)
    EXPECT_GT(cores.normals.col(i).dot(cores.points_mm.col(i).normalized()), 0.98);
  EXPECT_NEAR(cores.area_mm2.sum(), 4.0 * kPi * 1600.0, 0.04 * 4.0 * kPi * 1600.0);
}

TEST(CorePoints, AreNoMoreThanAskedFor) {
  const Eigen::Matrix3Xd points = test::flat_points(100.0, 40'000, 0.0, 0.02, Rng(24));
  const Eigen::Matrix3Xd none(3, 0);
  const PointIndex index(points);
  const Cloud cloud{points, none, index};
  const CorePoints cores = spread_core_points(cloud, choose_scales(cloud, cloud, 500));
  EXPECT_LT(cores.size(), 600);
  EXPECT_GT(cores.size(), 200);
}

}  // namespace
}  // namespace trammel
