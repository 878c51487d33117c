/// Signed distances against closed forms: exact distance functions of box and torus as published by
/// I. Quilez, "Distance functions" (iquilezles.org/articles/distfunctions), evaluated by hand.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "support/shapes.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/random.hpp"
#include "trammel/geometry/surface_index.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

struct Value {
  Vector3d point;
  double distance;
};

double signed_distance(const SurfaceIndex& index, const Vector3d& point) {
  return index.signed_distance(point, index.nearest(point));
}

// |max(q, 0)| + min(max q, 0) with q = |p| − (1, 2, 3).
TEST(ClosedForm, BoxOfHalfSizesOneTwoThree) {
  const SurfaceIndex index(test::box({-1, -2, -3}, {1, 2, 3}));
  const Value values[] = {{{0, 0, 0}, -1.0},
                          {{0.5, 0, 0}, -0.5},
                          {{3, 0, 0}, 2.0},
                          {{3, 4, 0}, std::sqrt(8.0)},
                          {{3, 4, 5}, std::sqrt(12.0)}};
  for (const Value& value : values)
    EXPECT_NEAR(signed_distance(index, value.point), value.distance, 1e-14)
        << value.point.transpose();
}

// |(√(x² + y²) − 20, z)| − 5. The mesh has its vertices on the torus and lies inside it by no more
// than the sag of its chords, (R + r)(1 − cos π/n) round the ring and r (1 − cos π/m) round the
// tube; on the hollow side of the ring it lies outside by no more than the same. A distance changes
// by no more than the surface does.
TEST(ClosedForm, TorusOfRing20AndTube5) {
  constexpr int kRing = 360, kTube = 120;
  const double sag = 25 * (1 - std::cos(kPi / kRing)) + 5 * (1 - std::cos(kPi / kTube));
  ASSERT_LT(sag, 0.003);
  const SurfaceIndex index(test::torus(20, 5, kRing, kTube));
  const Value values[] = {{{0, 0, 0}, 15.0},
                          {{20, 0, 0}, -5.0},
                          {{28, 0, 0}, 3.0},
                          {{20, 0, 5}, 0.0},
                          {{0, 23, 4}, 0.0}};
  for (const Value& value : values)
    EXPECT_NEAR(signed_distance(index, value.point), value.distance, sag)
        << value.point.transpose();
}

constexpr double kOffsets_mm[] = {0.001, 0.01, 0.1, 1.0, 10.0};

// Vertices of sphere and cylinder lie on them, so that the mesh fills the shape but for a skin no
// thicker than the sag. The signed distance of the mesh is then at least the shape's, and at most
// that plus the sag.
void expect_offset(const SurfaceIndex& index, const Vector3d& on_shape, const Vector3d& normal,
                   double sag) {
  constexpr double kRounding = 1e-12;
  for (const double offset : kOffsets_mm) {
    for (const double off : {offset, -offset}) {
      const double distance = signed_distance(index, on_shape + off * normal);
      EXPECT_GE(distance, off - kRounding) << on_shape.transpose();
      EXPECT_LE(distance, off + sag + kRounding) << on_shape.transpose();
    }
  }
}

TEST(ClosedForm, SphereOfRadius25WithOffsetsFromAMicrometre) {
  const Mesh mesh = test::sphere(25, 6);
  double inradius = 25;  // the facet that comes nearest to the centre bounds the sag
  for (Eigen::Index t = 0; t < mesh.triangles.cols(); ++t) {
    const Vector3d n = area_vector(mesh, t).normalized();
    inradius = std::min(inradius, n.dot(mesh.vertices_mm.col(mesh.triangles(0, t))));
  }
  ASSERT_LT(25 - inradius, 0.005);
  const SurfaceIndex index(mesh);
  Rng rng(41);
  for (int i = 0; i < 500; ++i) {
    const Vector3d normal = rng.direction();
    expect_offset(index, 25 * normal, normal, 25 - inradius);
  }
}

TEST(ClosedForm, CylinderOfRadius15WithOffsetsFromAMicrometre) {
  constexpr int kSegments = 720;
  const double sag = 15 * (1 - std::cos(kPi / kSegments));
  const SurfaceIndex index(test::cylinder(15, 60, kSegments));
  Rng rng(42);
  for (int i = 0; i < 500; ++i) {
    const double angle = rng.uniform(0, 2 * kPi);
    const Vector3d normal(std::cos(angle), std::sin(angle), 0);
    // At most 10 mm from the middle: from 10 mm below the wall no end is nearer than the wall.
    expect_offset(index, 15 * normal + rng.uniform(-10, 10) * Vector3d::UnitZ(), normal, sag);
  }
}

// Facets through points of the surface change no offset at their own middle at all: over the middle
// of a facet the distance is the offset, to rounding.
TEST(ClosedForm, OffsetsOverFacetMiddlesComeBackExactly) {
  const Mesh mesh = test::torus(40, 15, 90, 45);
  const SurfaceIndex index(mesh);
  for (Eigen::Index t = 0; t < mesh.triangles.cols(); t += 37) {
    const Vector3d middle =
        (mesh.vertices_mm.col(mesh.triangles(0, t)) + mesh.vertices_mm.col(mesh.triangles(1, t)) +
         mesh.vertices_mm.col(mesh.triangles(2, t))) /
        3;
    const Vector3d normal = area_vector(mesh, t).normalized();
    // Up to 0.1 mm: a facet's middle lies 0.3 mm and more from its edges, where others come near.
    for (const double offset : {0.001, 0.01, 0.1}) {
      EXPECT_NEAR(signed_distance(index, middle + offset * normal), offset, 1e-12);
      EXPECT_NEAR(signed_distance(index, middle - offset * normal), -offset, 1e-12);
    }
  }
}

}  // namespace
}  // namespace trammel
