#include "../../src/geometry/rim_face.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "trammel/base/random.hpp"
#include "trammel/geometry/fit_slot.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

/// A face at z = 2 that leans by 0.01 and is noisy by 0.03 mm, one at z = −2 that looks down, and a
/// wall between.
struct Faces {
  Eigen::Matrix3Xd points_mm, normals;
  explicit Faces(int count) : points_mm(3, 3 * count), normals(3, 3 * count) {
    Rng rng(1);
    for (int i = 0; i < 3 * count; ++i) {
      const double x = rng.uniform(-20, 20), y = rng.uniform(-20, 20);
      const int kind = i % 3;
      points_mm.col(i) << x, kind == 2 ? 1.0 : y,
          kind == 0   ? 2.0 + 0.01 * x + 0.03 * rng.normal()
          : kind == 1 ? -2.0
                      : rng.uniform(1, 2);
      normals.col(i) = kind == 0   ? Vector3d(0, 0, 1)
                       : kind == 1 ? Vector3d(0, 0, -1)
                                   : Vector3d(0, 1, 0);
    }
  }
};

TEST(RimFace, TakesTheFaceThatLooksItsWayNearTheMiddleLine) {
  const Faces faces(4000);
  RimPlace place;
  place.center_mm = {1, 0, 2};
  place.half_straight_mm = 5.0;
  place.reach_mm = 6.0;
  const RimFace face = rim_face(faces.points_mm, faces.normals, place);
  EXPECT_NEAR(face.noise_mm, 0.03, 0.003);
  // 4000 points on 1600 mm², of which π 6² + 10 · 12 mm² lie in reach: 583, ±5 of its root.
  EXPECT_NEAR(static_cast<double>(face.points.size()), 583.0, 5.0 * std::sqrt(583.0));
  for (const auto& p : face.points)
    EXPECT_LE(arm_from_middle_line(5.0, p).norm(), 6.0);
}

TEST(RimFace, IsEmptyWhereTheFaceWasNotSeen) {
  const Faces faces(2000);
  RimPlace place;
  place.center_mm = {0, 0, 2};
  place.reach_mm = 6.0;
  place.looks_up = false;
  EXPECT_TRUE(rim_face(faces.points_mm, faces.normals, place).points.empty());
  place.center_mm.z() = 9.0;
  place.looks_up = true;
  EXPECT_TRUE(rim_face(faces.points_mm, faces.normals, place).points.empty());
}

}  // namespace
}  // namespace trammel
