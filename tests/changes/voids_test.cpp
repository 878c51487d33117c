#include "trammel/changes/voids.hpp"

#include <gtest/gtest.h>

#include "changes/made_scans.hpp"
#include "trammel/changes/core_points.hpp"

namespace trammel {
namespace {

/// Void samples of one made scan beside another; 25 points lie in a cylinder of 8 mm.
CorePoints voids_of(const Scan& own, const Scan& other) {
  const PointIndex own_index(own.points_mm), other_index(other.points_mm);
  const Cloud mine{own.points_mm, own.normals, own_index},
      others{other.points_mm, other.normals, other_index};
  M3c2Settings how;
  how.cylinder_mm = 8.0;
  how.depth_mm = 12.0;
  how.least_facing = 0.5;
  how.sides_known = true;
  ChangeScales scales;
  scales.cylinder_mm = scales.normal_mm = 8.0;
  scales.core_mm = 5.6;
  const CorePoints my_places = spread_core_points(mine, scales),
                   other_places = spread_core_points(others, scales);
  return voids_between(mine, my_places.points_mm, others, other_places.points_mm, how);
}

TEST(Voids, TellASlotNarrowerThanTheCylinderAndItsArea) {
  const Scan whole = test::MadeScan(1).plate().scan();
  const Scan slotted = test::MadeScan(2).plate().without_floor({40, 50, 0}, {120, 57, 0}).scan();
  const CorePoints found = voids_of(whole, slotted);
  ASSERT_GT(found.size(), 0);
  double in_slot = 0.0;
  for (Eigen::Index i = 0; i < found.size(); ++i) {
    const Eigen::Vector3d at = found.points_mm.col(i);
    if (at.x() > 40 && at.x() < 120 && at.y() > 50 && at.y() < 57) in_slot += found.area_mm2[i];
    EXPECT_GT(found.normals(2, i), 0.99);
  }
  EXPECT_NEAR(in_slot, 80.0 * 7.0, 0.25 * 80.0 * 7.0);
  EXPECT_LT(found.area_mm2.sum() - in_slot, 60.0) << "what chance leaves empty elsewhere";
}

TEST(Voids, TellALowWallThoughTheFloorBesideItIsNear) {
  const Scan bare = test::MadeScan(3).plate().scan();
  const Scan wall = test::MadeScan(4).plate().face({40, 60, 0}, {80, 0, 0}, {0, 0, 3}).scan();
  const CorePoints found = voids_of(wall, bare);
  double of_wall = 0.0;
  for (Eigen::Index i = 0; i < found.size(); ++i)
    if (found.normals(1, i) < -0.9) of_wall += found.area_mm2[i];
  EXPECT_NEAR(of_wall, 80.0 * 3.0, 0.5 * 80.0 * 3.0);
}

TEST(Voids, AreNotWhereTheOtherScanIsSparseNorWhereNormalsAreWrong) {
  const Scan whole = test::MadeScan(5).plate().scan();
  Scan sparse = test::MadeScan(6).plate().scan();
  std::vector<Eigen::Index> kept;
  for (Eigen::Index i = 0; i < sparse.size(); ++i)
    if (sparse.points_mm(0, i) < 80.0 || i % 5 == 0) kept.push_back(i);
  sparse.points_mm = Eigen::Matrix3Xd(sparse.points_mm(Eigen::all, kept));
  sparse.normals = Eigen::Matrix3Xd(sparse.normals(Eigen::all, kept));
  EXPECT_LT(voids_of(whole, sparse).area_mm2.sum(), 0.02 * 160.0 * 120.0);
  Scan flipped = test::MadeScan(7).plate().scan();
  for (Eigen::Index i = 0; i < flipped.size(); i += 10)
    flipped.normals.col(i) *= -1.0;
  EXPECT_LT(voids_of(flipped, whole).area_mm2.sum(), 60.0);
}

}  // namespace
}  // namespace trammel
