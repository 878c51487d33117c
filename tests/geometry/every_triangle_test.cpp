#include "trammel/geometry/every_triangle.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "support/shapes.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/random.hpp"
#include "trammel/geometry/surface_index.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

constexpr double kAll = std::numeric_limits<double>::infinity();

Vector3d anywhere(Rng& rng, double most) {
  return {rng.uniform(-most, most), rng.uniform(-most, most), rng.uniform(-most, most)};
}

/// Triangles of any shape, needles and ones without area among them.
Mesh rubble(int triangles) {
  Rng rng(5);
  Mesh mesh;
  mesh.vertices_mm.resize(3, 3 * triangles);
  mesh.triangles.resize(3, triangles);
  for (int t = 0; t < triangles; ++t) {
    const Vector3d a = anywhere(rng, 10.0), b = a + anywhere(rng, 3.0);
    Vector3d c = a + anywhere(rng, 3.0);
    if (t % 5 == 1) c = b + 1e-5 * anywhere(rng, 1.0);
    if (t % 5 == 2) c = 0.5 * (a + b);
    if (t % 5 == 3) c = b;
    mesh.vertices_mm.col(3 * t) = a;
    mesh.vertices_mm.col(3 * t + 1) = b;
    mesh.vertices_mm.col(3 * t + 2) = c;
    mesh.triangles.col(t) = Eigen::Vector3i(3 * t, 3 * t + 1, 3 * t + 2);
  }
  return mesh;
}

TEST(EveryTriangle, AgreesWithTheOtherWayOnTrianglesOfAnyShape) {
  const Mesh mesh = rubble(200);
  const EveryTriangle all(mesh);
  const SurfaceIndex index(mesh);
  Rng rng(6);
  for (int k = 0; k < 500; ++k) {
    const Vector3d p = anywhere(rng, 15.0), normal = rng.direction();
    const MeasuredAgain again = all.measure(p, normal, 0.5, kAll);
    EXPECT_NEAR(again.nearest_mm, nearest_on_mesh(mesh, p).distance_mm, 1e-9);
    EXPECT_NEAR((again.foot_mm - p).norm(), again.nearest_mm, 1e-12);
    const SurfacePoint facing = index.nearest_facing(p, normal, 0.5);
    EXPECT_NEAR(again.facing_most_mm, facing.distance_mm, 1e-9);
    EXPECT_LE(again.facing_least_mm, again.facing_most_mm);
  }
}

TEST(EveryTriangle, FindsNothingBeyondWhatWasAsked) {
  const Mesh cube = test::box({0, 0, 0}, {1, 1, 1});
  const EveryTriangle all(cube);
  EXPECT_EQ(all.measure({0.5, 0.5, 9.0}, Vector3d::UnitZ(), 0.5, 2.0).triangle, -1);
  EXPECT_NEAR(all.measure({0.5, 0.5, 9.0}, Vector3d::UnitZ(), 0.5, 8.5).nearest_mm, 8.0, 1e-15);
  EXPECT_TRUE(std::isinf(all.measure({0.5, 0.5, 1.1}, {0.6, 0.8, 0.0}, 0.9, 2.0).facing_most_mm));
}

TEST(EveryTriangle, KnowsWhereTheSurfaceOfACubeLooks) {
  const Mesh cube = test::box({0, 0, 0}, {1, 1, 1});
  const EveryTriangle all(cube);
  const auto looks = [&](const Vector3d& at) { return all.outwards_at(at, 1e-9); };
  // A face fills a whole turn, also where its diagonal runs; at an edge each face fills half a
  // turn, at a corner each of three a quarter.
  EXPECT_TRUE(looks({0.3, 0.2, 1.0}).isApprox(2.0 * kPi * Vector3d::UnitZ(), 1e-9));
  EXPECT_TRUE(looks({0.5, 0.5, 1.0}).isApprox(2.0 * kPi * Vector3d::UnitZ(), 1e-9));
  EXPECT_TRUE(looks({1.0, 0.4, 1.0}).isApprox(kPi * Vector3d(1, 0, 1), 1e-9));
  EXPECT_TRUE(looks({1.0, 0.0, 1.0}).isApprox(0.5 * kPi * Vector3d(1, -1, 1), 1e-9));
}

TEST(EveryTriangle, TellsHowFarAFootIsFromTheSides) {
  const Mesh cube = test::box({0, 0, 0}, {4, 4, 4});
  const EveryTriangle all(cube);
  const MeasuredAgain again = all.measure({1.0, 2.5, 5.0}, Vector3d::UnitZ(), 0.5, kAll);
  // 1 from the edge x = 0, 1.5/√2 and 0.5/√2 from the two ways to cut the face in two.
  const double apart = all.from_sides_mm(again.triangle, again.foot_mm);
  EXPECT_TRUE(std::abs(apart - 1.0) < 1e-12 || std::abs(apart - 1.5 / std::sqrt(2.0)) < 1e-12 ||
              std::abs(apart - 0.5 / std::sqrt(2.0)) < 1e-12)
      << apart;
  EXPECT_TRUE(all.normal_of(again.triangle).isApprox(Vector3d::UnitZ()));
}

}  // namespace
}  // namespace trammel
