#include "trammel/changes/why_not_seen.hpp"

#include <gtest/gtest.h>

#include "changes/flat_clouds.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

/// A flat cloud at a height that faces up or down is all that the other scan shows.
class ShownBy {
 public:
  ShownBy(double z_mm, const Vector3d& normal)
      : points_(test::flat_points(100, 5000, z_mm, 0.02, Rng(1))),
        normals_(normal.replicate(1, points_.cols())),
        index_(points_),
        cloud_{points_, normals_, index_} {
    how_.cylinder_mm = 8.0;
    how_.depth_mm = 12.0;
    how_.layer_gap_mm = 4.0;
    how_.least_facing = 0.5;
    how_.sides_known = true;
  }

  [[nodiscard]] bool hides(const Vector3d& at, const Vector3d& normal) const {
    return WhyNotSeen(cloud_, points_, 2.0, how_).is_hidden(at, normal);
  }
  [[nodiscard]] bool has_far_side(const Vector3d& at, const Vector3d& normal) const {
    return WhyNotSeen(cloud_, points_, 2.0, how_).is_a_far_side(at, normal);
  }

 private:
  Eigen::Matrix3Xd points_, normals_;
  PointIndex index_;
  Cloud cloud_;
  M3c2Settings how_;
};

TEST(WhyNotSeen, ALidHidesWhatLooksAtIt) {
  const ShownBy lid(20.0, Vector3d::UnitZ());
  EXPECT_TRUE(lid.hides({50, 50, 0}, Vector3d::UnitZ()));
  EXPECT_FALSE(lid.hides({50, 50, 0}, -Vector3d::UnitZ()));
  EXPECT_FALSE(lid.hides({50, 50, 40}, Vector3d::UnitZ()));
  EXPECT_FALSE(ShownBy(200.0, Vector3d::UnitZ()).hides({50, 50, 0}, Vector3d::UnitZ()));
}

TEST(WhyNotSeen, TheFarSideOfASheetLiesBehindWhatFacesAway) {
  const ShownBy top(0.0, Vector3d::UnitZ());
  EXPECT_TRUE(top.has_far_side({50, 50, -3}, -Vector3d::UnitZ()));
  EXPECT_FALSE(top.has_far_side({50, 50, -30}, -Vector3d::UnitZ())) << "too thick";
  EXPECT_FALSE(top.has_far_side({50, 50, 3}, -Vector3d::UnitZ())) << "it looks at it";
  EXPECT_FALSE(top.has_far_side({50, 50, 3}, Vector3d::UnitZ())) << "it stood before it";
}

}  // namespace
}  // namespace trammel
