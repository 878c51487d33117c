#include "trammel/geometry/surface_index.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

#include "support/shapes.hpp"
#include "trammel/base/random.hpp"
#include "trammel/geometry/every_triangle.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

double signed_distance(const SurfaceIndex& index, const Vector3d& p) {
  return index.signed_distance(p, index.nearest(p));
}

Mesh random_soup(int count, Rng rng) {
  Mesh mesh;
  mesh.vertices_mm.resize(3, 3 * count);
  mesh.triangles.resize(3, count);
  for (int t = 0; t < count; ++t) {
    const Vector3d at = 50.0 * rng.direction() * rng.uniform();
    for (int k = 0; k < 3; ++k) {
      mesh.vertices_mm.col(3 * t + k) = at + 5.0 * rng.direction() * std::pow(rng.uniform(), 4.0);
      mesh.triangles(k, t) = 3 * t + k;
    }
  }
  return mesh;
}

TEST(SurfaceIndex, MatchesBruteForceOnRandomTriangles) {
  for (const int count : {1, 2, 4, 5, 37, 1500}) {
    const Mesh mesh = random_soup(count, Rng(static_cast<std::uint64_t>(count)));
    const SurfaceIndex index(mesh);
    Rng rng(99);
    for (int i = 0; i < 300; ++i) {
      const Vector3d p = 80.0 * rng.direction() * rng.uniform();
      // Plain and careful ways differ by rounding alone; needles take the same way in both.
      EXPECT_NEAR(index.nearest(p).distance_mm, nearest_on_mesh(mesh, p).distance_mm, 1e-9);
    }
  }
}

TEST(SurfaceIndex, MatchesBruteForceOnALongThinTree) {
  // Deep enough for subtrees that are built side by side.
  const Mesh mesh = test::refined(test::bracket(), 0.9);
  ASSERT_GT(mesh.triangles.cols(), 20000);
  const SurfaceIndex index(mesh);
  Rng rng(5);
  for (int i = 0; i < 60; ++i) {
    const Vector3d p(rng.uniform(-20, 110), rng.uniform(-20, 80), rng.uniform(-20, 80));
    EXPECT_NEAR(index.nearest(p).distance_mm, nearest_on_mesh(mesh, p).distance_mm, 1e-11);
  }
}

/// Against EveryTriangle, which has no tree: narrow and wide limits, normals of all directions.
TEST(SurfaceIndex, FacingMatchesBruteForceOnRandomTrianglesAndOnAPart) {
  for (const Mesh& mesh : {random_soup(1500, Rng(12)), test::refined(test::housing(), 6.0)}) {
    const SurfaceIndex index(mesh);
    const EveryTriangle every(mesh);
    Rng rng(7);
    for (int i = 0; i < 400; ++i) {
      const Vector3d p = 60.0 * rng.direction() * rng.uniform(), normal = rng.direction();
      const double least_cosine = rng.uniform(-0.9, 0.99), reach_mm = rng.uniform(1.0, 100.0);
      const SurfacePoint facing = index.nearest_facing(p, normal, least_cosine, reach_mm);
      const MeasuredAgain again = every.measure(p, normal, least_cosine, reach_mm);
      const double found_mm =
          facing.found() ? facing.distance_mm : std::numeric_limits<double>::infinity();
      if (again.facing_least_mm > reach_mm) {
        EXPECT_FALSE(facing.found());
      } else {
        EXPECT_GE(found_mm, again.facing_least_mm - 1e-9);
        EXPECT_LE(found_mm, again.facing_most_mm + 1e-9);
      }
    }
  }
}

TEST(SurfaceIndex, SignedDistanceOfABoxIsTheClosedForm) {
  // Exact distance of a box with half sides (1, 2, 3) (Quilez, "distance functions"; values
  // recomputed in double): inside, before faces, edges and corners.
  const SurfaceIndex index(test::box({-1, -2, -3}, {1, 2, 3}));
  EXPECT_NEAR(signed_distance(index, {0, 0, 0}), -1.0, 1e-15);
  EXPECT_NEAR(signed_distance(index, {0.5, 0, 0}), -0.5, 1e-15);
  EXPECT_NEAR(signed_distance(index, {3, 0, 0}), 2.0, 1e-15);
  EXPECT_NEAR(signed_distance(index, {3, 4, 0}), 2.8284271247461903, 1e-14);
  EXPECT_NEAR(signed_distance(index, {3, 4, 5}), 3.4641016151377544, 1e-14);
}

TEST(SurfaceIndex, OffsetsOfABoxComeBackFromAMicrometreToTenMillimetres) {
  const SurfaceIndex index(test::moved(test::box({0, 0, 0}, {40, 30, 20}),
                                       Eigen::Isometry3d(Eigen::Translation3d(5000, -5000, 5000))));
  for (const double offset : {1e-3, 1e-2, 0.1, 1.0, 10.0}) {
    // Coordinates of 5,000 mm resolve 1e-12 mm.
    EXPECT_NEAR(signed_distance(index, {5017, -4988, 5020 + offset}), offset, 1e-11);
    if (offset < 10.0) {
      EXPECT_NEAR(signed_distance(index, {5017, -4988, 5020 - offset}), -offset, 1e-11);
    }
  }
}

// One of a scan whose numbers do not fit in single precision: there is no nearest, and no harm.
TEST(SurfaceIndex, OfAPointAtInfinityNothingIsNearest) {
  const SurfaceIndex index(test::box({0, 0, 0}, {60, 40, 9}));
  for (const double far_mm : {1e300, std::numeric_limits<double>::infinity()}) {
    EXPECT_FALSE(index.nearest({far_mm, 5, 5}, 10.0).found()) << far_mm;
    EXPECT_FALSE(index.nearest({far_mm, far_mm, -far_mm}, 10.0).found()) << far_mm;
  }
  EXPECT_TRUE(index.nearest({1e14, 5, 5}).found());
}

TEST(SurfaceIndex, SphereIsOffByNoMoreThanItsFacetsAre) {
  const double radius = 25.0;
  const Mesh mesh = test::sphere(radius, 4);
  const SurfaceIndex index(mesh);
  double inradius = radius;  // the facet nearest to the centre bounds the tessellation error
  for (Eigen::Index t = 0; t < mesh.triangles.cols(); ++t) {
    const Vector3d n = area_vector(mesh, t).normalized();
    inradius = std::min(inradius, n.dot(mesh.vertices_mm.col(mesh.triangles(0, t))));
  }
  Rng rng(3);
  for (int i = 0; i < 2000; ++i) {
    const double r = rng.uniform(15.0, 40.0);
    const double distance = signed_distance(index, r * rng.direction());
    EXPECT_GE(distance, r - radius - 1e-12);
    EXPECT_LE(distance, r - inradius + 1e-12);
  }
}

TEST(SurfaceIndex, SignHoldsAtAKnifeEdgeWhereFaceNormalsLie) {
  // A wedge of 4°: beyond its edge the nearest face may look away from the point
  // (the case of Bærentzen & Aanæs 2005).
  const double rise = std::tan(2.0 * 3.14159265358979 / 180.0) * 50.0;
  const Mesh wedge = test::extrude({{{0, 0}, {50, -rise}, {50, rise}}}, 30.0);
  const SurfaceIndex index(wedge);
  Rng rng(8);
  for (int i = 0; i < 2000; ++i) {
    const Vector3d beyond(-rng.uniform(1e-6, 5.0), rng.uniform(-5.0, 5.0), rng.uniform(0.0, 30.0));
    EXPECT_GT(signed_distance(index, beyond), 0.0);
    const double x = rng.uniform(1.0, 49.0);
    const Vector3d within(x, rng.uniform(-0.99, 0.99) * rise * x / 50.0, rng.uniform(1.0, 29.0));
    EXPECT_LT(signed_distance(index, within), 0.0);
  }
}

TEST(SurfaceIndex, FacingKeepsTheBackOfASheetOut) {
  const SurfaceIndex index(test::box({0, 0, 0}, {100, 60, 3}));
  const Vector3d pushed(50, 30, 1.0);  // the upper face, pushed in by 2 of 3 mm
  EXPECT_NEAR(index.nearest(pushed).distance_mm, 1.0, 1e-14);
  const SurfacePoint facing = index.nearest_facing(pushed, Vector3d::UnitZ(), 0.5);
  EXPECT_NEAR(index.signed_distance(pushed, facing), -2.0, 1e-14);
}

TEST(SurfaceIndex, FindsNothingBeyondTheReach) {
  const SurfaceIndex index(test::box({0, 0, 0}, {1, 1, 1}));
  EXPECT_FALSE(index.nearest({3, 0.5, 0.5}, 1.9).found());
  EXPECT_TRUE(index.nearest({3, 0.5, 0.5}, 2.1).found());
  EXPECT_FALSE(index.nearest_facing({3, 0.5, 0.5}, Vector3d::UnitZ(), 0.9, 2.0).found());
}

TEST(SurfaceIndex, MarksFeetOnTheBorderOfAnOpenMesh) {
  Mesh open = test::box({0, 0, 0}, {10, 10, 10});
  Mesh lidless = open;
  std::vector<int> kept;
  for (int t = 0; t < 12; ++t) {
    if (area_vector(open, t).normalized().z() < 0.9) kept.push_back(t);
  }
  ASSERT_EQ(kept.size(), 10U);
  lidless.triangles = open.triangles(Eigen::all, kept);
  const SurfaceIndex index(lidless);
  EXPECT_TRUE(index.on_border(index.nearest({5, 0.5, 14})));
  EXPECT_FALSE(index.on_border(index.nearest({5, -3, 5})));
}

TEST(SurfaceIndex, SwappedWindingSwapsTheSign) {
  Mesh mesh = test::bracket();
  const SurfaceIndex index(mesh);
  Mesh turned = mesh;
  turned.triangles.row(1).swap(turned.triangles.row(2));
  const SurfaceIndex inverse(turned);
  Rng rng(2);
  for (int i = 0; i < 500; ++i) {
    const Vector3d p(rng.uniform(-10, 100), rng.uniform(-10, 70), rng.uniform(-10, 65));
    EXPECT_NEAR(signed_distance(index, p), -signed_distance(inverse, p), 1e-12);
  }
}

TEST(SurfaceIndex, EqualDistancesGoToTheLowestTriangle) {
  // The centre of a cube is as far from all twelve triangles of its faces.
  const SurfaceIndex index(test::box({-1, -1, -1}, {1, 1, 1}));
  EXPECT_EQ(index.nearest({0, 0, 0}).triangle, 0);
}

TEST(SurfaceIndex, NoPointIsFartherThanAKnownFoot) {
  const SurfaceIndex index(test::box({0, 0, 0}, {20, 15, 3}));
  EXPECT_EQ(no_farther_than_mm({}, Vector3d(1, 2, 3)), SurfaceIndex::kNoLimit);
  const SurfacePoint known = index.nearest(Vector3d(5, 5, 4));
  for (const Vector3d& p : {Vector3d(5, 5, 3), Vector3d(5, 5, 3.5), Vector3d(40, -9, 70)}) {
    const SurfacePoint nearest = index.nearest(p, no_farther_than_mm(known, p));
    ASSERT_TRUE(nearest.found()) << p.transpose();
    EXPECT_EQ(nearest.distance_mm, index.nearest(p).distance_mm);
  }
}

}  // namespace
}  // namespace trammel
