#include "trammel/geometry/surface_cells.hpp"

#include <gtest/gtest.h>

#include "support/shapes.hpp"
#include "trammel/geometry/sample_surface.hpp"
#include "trammel/geometry/surface_index.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Vector3d;

TEST(SurfaceCells, TileTheSurfaceAndMeetEdgeToEdge) {
  const Mesh mesh = test::bracket();
  const CellTree tree(mesh, 2.0);
  const SurfaceCells& cells = tree.cells();
  EXPECT_NEAR(cells.area_mm2.sum(), surface_area_mm2(mesh), 1e-9 * surface_area_mm2(mesh));
  EXPECT_EQ(cells.neighbours.minCoeff(), 0);  // closed: every cell has three neighbours
  for (Index c = 0; c < cells.size(); ++c) {
    for (int k = 0; k < 3; ++k) {
      const Vector3d a = cells.vertices_mm.col(cells.cells(k, c));
      const Vector3d b = cells.vertices_mm.col(cells.cells((k + 1) % 3, c));
      ASSERT_LE((a - b).norm(), 2.0);
      const int other = cells.neighbours(k, c);
      EXPECT_TRUE((cells.neighbours.col(other).array() == static_cast<int>(c)).any());
    }
  }
}

TEST(SurfaceCells, FindTheCellThatHoldsAPoint) {
  const Mesh mesh = test::bracket();
  const CellTree tree(mesh, 1.5);
  const SurfaceCells& cells = tree.cells();
  const SurfaceSamples samples = sample_surface(mesh, 3000, Rng(4));
  for (Index i = 0; i < samples.points_mm.cols(); ++i) {
    const Vector3d p = samples.points_mm.col(i);
    const int c = tree.cell_at(mesh, samples.triangle[i], p);
    ASSERT_EQ(cells.triangle[c], samples.triangle[i]);
    Mesh one;
    one.vertices_mm = cells.vertices_mm;
    one.triangles = cells.cells.col(c);
    // On the surface to rounding: coordinates of 100 mm, a few operations.
    EXPECT_LT(nearest_on_mesh(one, p).distance_mm, 1e-10);
  }
}

/// Open, with an edge of three triangles, cut and as it is.
TEST(SurfaceCells, OfAnIndexAreThoseOfItsMesh) {
  Mesh mesh = test::sphere(10, 3);
  mesh.triangles.conservativeResize(3, mesh.triangles.cols() - 1);
  mesh.triangles.col(0) << mesh.triangles.col(5);
  const SurfaceIndex index(mesh);
  for (const double edge_mm : {100.0, 0.7}) {
    const CellTree own(mesh, edge_mm), shared(index, edge_mm);
    EXPECT_EQ(shared.is_uncut(), edge_mm == 100.0);
    EXPECT_EQ(shared.cells().cells, own.cells().cells);
    EXPECT_EQ(shared.cells().neighbours, own.cells().neighbours);
    EXPECT_EQ(own.cells().neighbours.minCoeff(), -1);
  }
}

TEST(SurfaceCells, GrowWhenTheyWouldBeTooMany) {
  const Mesh mesh = test::box({0, 0, 0}, {100, 100, 100});
  const CellTree tree(mesh, 0.1, 5000);
  // Halving overshoots: an edge just over the limit becomes two of half its length, on both axes.
  EXPECT_LT(tree.cells().size(), 4 * 5000);
  EXPECT_GT(tree.cells().size(), 5000 / 4);
}

TEST(SurfaceCells, DoNotDependOnTheOrderOfATrianglesCorners) {
  Mesh mesh = test::box({0, 0, 0}, {10, 10, 10});
  const CellTree plain(mesh, 1.0);
  for (Index t = 0; t < mesh.triangles.cols(); t += 2) {
    const Eigen::Vector3i c = mesh.triangles.col(t);
    mesh.triangles.col(t) << c[1], c[2], c[0];
  }
  const CellTree turned(mesh, 1.0);
  EXPECT_EQ(plain.cells().size(), turned.cells().size());
  EXPECT_EQ(turned.cells().neighbours.minCoeff(), 0);
}

}  // namespace
}  // namespace trammel
