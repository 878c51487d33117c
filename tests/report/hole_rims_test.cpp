#include "trammel/report/hole_rims.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "trammel/geometry/surface_cells.hpp"

namespace trammel {
namespace {

HoleResult hole_at(const Eigen::Vector3d& center) {
  HoleResult hole;
  hole.nominal_mm = center;
  hole.nominal_diameter_mm = 8.0;
  return hole;
}

TEST(HoleRims, LieOnBothFacesOfThePlateWhereverTheCentreIsGiven) {
  const Mesh plate = test::plate(60, 40, 5, {{{20, 15}, 8.0}});
  const SurfaceRays rays(CellTree(plate, 2.0).take_cells());
  for (const double z : {1.0, 2.5, 4.0}) {
    const HoleRims rims = hole_rims(hole_at({20, 15, z}), rays);
    EXPECT_NEAR((rims.center_mm[0] - Eigen::Vector3d(20, 15, 5)).norm(), 0.0, 1e-4);
    EXPECT_NEAR((rims.center_mm[1] - Eigen::Vector3d(20, 15, 0)).norm(), 0.0, 1e-4);
  }
}

TEST(HoleRims, AreSeenFromBothSidesAndNotThroughACover) {
  const Mesh plate = test::plate(60, 40, 5, {{{20, 15}, 8.0}});
  const Mesh cover = test::box({0, 0, 20}, {60, 40, 25});
  const SurfaceRays rays(CellTree(test::together({plate, cover}), 2.0).take_cells());
  const HoleRims rims = hole_rims(hole_at({20, 15, 2.5}), rays);
  EXPECT_DOUBLE_EQ(visible_share(rims, view_from({0, 0, -1}), rays), 1.0);
  EXPECT_DOUBLE_EQ(visible_share(rims, view_from({0, 0, 1}), rays), 0.0);
  EXPECT_EQ(facing_rim(rims, view_from({0, 0, -1})), 1U);
}

TEST(HoleRims, ARingKeepsItsRadiusAndPlane) {
  const Eigen::Matrix3Xd ring = ring_points({1, 2, 3}, Eigen::Vector3d(1, 1, 0).normalized(), 4.0);
  for (Eigen::Index i = 0; i < ring.cols(); ++i) {
    const Eigen::Vector3d off = ring.col(i) - Eigen::Vector3d(1, 2, 3);
    EXPECT_NEAR(off.norm(), 4.0, 1e-12);
    EXPECT_NEAR(off.x() + off.y(), 0.0, 1e-12);
  }
}

}  // namespace
}  // namespace trammel
