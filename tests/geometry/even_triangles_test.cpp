#include "trammel/geometry/even_triangles.hpp"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <vector>

#include "support/shapes.hpp"
#include "trammel/base/random.hpp"
#include "trammel/geometry/every_triangle.hpp"
#include "trammel/geometry/mesh_edges.hpp"
#include "trammel/geometry/sample_surface.hpp"
#include "trammel/geometry/surface_cells.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

EdgeCounts edges_of(const Mesh& mesh) {
  return count_edges(sorted_edge_uses(mesh.triangles, mesh.vertices_mm.cols()));
}

bool same(const Mesh& a, const Mesh& b) {
  return a.vertices_mm.cols() == b.vertices_mm.cols() && a.triangles.cols() == b.triangles.cols() &&
         a.vertices_mm == b.vertices_mm && a.triangles == b.triangles;
}

/// Turned out of all axes, and rounded as an STL file's numbers are.
Mesh as_from_a_file(const Mesh& mesh) {
  Eigen::Isometry3d turn = Eigen::Isometry3d::Identity();
  turn.linear() = Eigen::AngleAxisd(0.83, Vector3d(1, -2, 0.7).normalized()).toRotationMatrix();
  turn.translation() << 210.0, -35.0, 77.0;
  Mesh out = test::moved(mesh, turn);
  out.vertices_mm = out.vertices_mm.cast<float>().cast<double>();
  return out;
}

double farthest_mm(const Mesh& of, const Mesh& from) {
  const EveryTriangle every(from);
  const SurfaceSamples samples = sample_surface(of, 300, Rng(5));
  double farthest = 0.0;
  for (Index i = 0; i < samples.points_mm.cols(); ++i) {
    const auto found = every.measure(samples.points_mm.col(i), Vector3d::UnitZ(), -1.0, 1e9);
    farthest = std::max(farthest, found.nearest_mm);
  }
  return farthest;
}

TEST(EvenTriangles, AreTheSameSurfaceWoundTheSameWay) {
  for (const Mesh& part : {test::bracket(), test::housing(), test::flange()}) {
    for (const bool rounded : {false, true}) {
      const Mesh mesh = rounded ? as_from_a_file(part) : part;
      const Mesh even = even_triangles(mesh, 1.2);
      ASSERT_GT(even.triangles.cols(), mesh.triangles.cols());
      EXPECT_EQ(even.name, mesh.name);
      EXPECT_EQ(edges_of(even).open, 0U);
      EXPECT_EQ(edges_of(even).non_manifold, 0U);
      EXPECT_EQ(edges_of(even).mixed_winding, 0U);
      const double size = bounding_box(mesh.vertices_mm).diagonal_mm();
      const double within = rounded ? 1e-7 : 1e-12;
      const double area = surface_area_mm2(mesh);
      EXPECT_NEAR(surface_area_mm2(even), area, within * area);
      EXPECT_NEAR(signed_volume_mm3(even), signed_volume_mm3(mesh), within * area * size);
      EXPECT_LE(farthest_mm(even, mesh), within * size);
      EXPECT_LE(farthest_mm(mesh, even), within * size);
    }
  }
}

// Independent of how it is done: least angles and counts, before and after.
TEST(EvenTriangles, HaveFewNeedlesLeftAndAreCutIntoFewerThanHalfTheCells) {
  const Mesh mesh = test::bracket();
  const Mesh even = even_triangles(mesh, 1.2);
  const auto needles = [](const Mesh& of) {
    int count = 0;
    for (Index t = 0; t < of.triangles.cols(); ++t) {
      double longest = 0.0;
      for (Index k = 0; k < 3; ++k)
        longest = std::max(longest, (of.vertices_mm.col(of.triangles(k, t)) -
                                     of.vertices_mm.col(of.triangles((k + 1) % 3, t)))
                                        .norm());
      if (longest > 10.0 && area_vector(of, t).norm() / longest < 0.05 * longest) ++count;
    }
    return count;
  };
  EXPECT_GT(needles(mesh), 100);
  EXPECT_LT(needles(even), needles(mesh) / 10);
  EXPECT_LT(2 * CellTree(even, 1.2).cells().size(), CellTree(mesh, 1.2).cells().size());
}

TEST(EvenTriangles, LeavesWhatHasNoNeedlesAsItIs) {
  for (const Mesh& mesh : {test::box({0, 0, 0}, {40, 30, 20}), test::sphere(20.0, 4),
                           test::torus(30.0, 8.0, 48, 24), test::cylinder(10.0, 60.0, 4)})
    EXPECT_TRUE(same(even_triangles(mesh, 1.0), mesh));
}

// A round of flat strips is no flat face: were its edges swung, it would lose its roundness.
TEST(EvenTriangles, LeavesRoundsRound) {
  const Mesh mesh = test::cylinder(20.0, 100.0, 400);
  const Mesh even = even_triangles(mesh, 2.0);
  EXPECT_GT(even.triangles.cols(), mesh.triangles.cols());  // its ends are fans
  for (Index t = 0; t < even.triangles.cols(); ++t) {
    const Vector3d up = area_vector(even, t).normalized();
    if (std::abs(up.z()) > 0.5) continue;
    Vector3d middle = Vector3d::Zero();
    for (Index k = 0; k < 3; ++k)
      middle += even.vertices_mm.col(even.triangles(k, t)) / 3.0;
    middle.z() = 0.0;
    EXPECT_GT(up.dot(middle.normalized()), std::cos(2.0 * 3.14159265358979 / 400.0));
  }
}

TEST(EvenTriangles, KeepsBordersAndEdgesOfThree) {
  Mesh open = test::bracket();
  open.triangles.conservativeResize(3, open.triangles.cols() - 40);
  const EdgeCounts before = edges_of(open);
  ASSERT_GT(before.open, 0U);
  EXPECT_EQ(edges_of(even_triangles(open, 1.2)).open, before.open);

  // Two fans that share an edge with a third: the edge of three stays whole.
  Mesh fins = test::together({test::bracket(), test::bracket()});
  const Index half = fins.triangles.cols() / 2, shift = fins.vertices_mm.cols() / 2;
  fins.triangles.rightCols(half).array() -= static_cast<int>(shift);
  const EdgeCounts doubled = edges_of(fins);
  ASSERT_GT(doubled.non_manifold, 0U);
  EXPECT_TRUE(same(even_triangles(fins, 1.2), fins));
}

TEST(EvenTriangles, IsBoundedOnWorstFans) {
  // 2,000 triangles from one corner of a sheet's face to a finely cut far edge.
  const int count = 2000;
  Mesh fan;
  fan.vertices_mm.resize(3, count + 2);
  fan.triangles.resize(3, count);
  fan.vertices_mm.col(0).setZero();
  for (int i = 0; i <= count; ++i)
    fan.vertices_mm.col(i + 1) << 300.0, 0.01 * i, 0.0;
  for (int t = 0; t < count; ++t)
    fan.triangles.col(t) << 0, t + 1, t + 2;
  const Mesh even = even_triangles(fan, 1.0);
  EXPECT_NEAR(surface_area_mm2(even), surface_area_mm2(fan), 1e-6);
  EXPECT_EQ(edges_of(even).mixed_winding, 0U);
  EXPECT_LT(even.triangles.cols(), 60000);
}

}  // namespace
}  // namespace trammel
