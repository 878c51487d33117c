#include "trammel/lighten/lighten.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <utility>

#include "support/long_run.hpp"
#include "support/panel.hpp"
#include "support/shapes.hpp"
#include "trammel/base/random.hpp"
#include "trammel/geometry/mend.hpp"
#include "trammel/geometry/mesh_edges.hpp"
#include "trammel/geometry/sample_surface.hpp"

namespace trammel {
namespace {

LightenSettings within(double mm) {
  LightenSettings out;
  out.within_mm = mm;
  return out;
}

/// Largest distance from samples of one surface to the other: can only contradict a proof.
double sampled_distance(const Mesh& from, const Mesh& to) {
  const SurfaceIndex index(to);
  const SurfaceSamples samples = sample_surface(from, 40'000, Rng(5));
  double worst = 0.0;
  for (Eigen::Index i = 0; i < samples.points_mm.cols(); ++i)
    worst = std::max(worst, index.nearest(samples.points_mm.col(i)).distance_mm);
  return worst;
}

EdgeCounts edges_of(const Mesh& mesh) {
  return count_edges(sorted_edge_uses(mesh.triangles, mesh.vertices_mm.cols()));
}

TEST(Lighten, TakesMostTrianglesOfASmoothMeshAndStaysWithin) {
  // Of edges of 0.8 and 0.4 mm, whose own sagitta is 1.6 and 0.4 µm.
  for (const auto& [levels, limit] :
       test::some_of<std::pair<int, double>>({{6, 0.05}, {7, 0.01}}, 1)) {
    const Mesh dense = test::sphere(50, levels);
    const Lightened light = lighten(dense, within(limit));
    EXPECT_TRUE(light.from_original.proven && light.from_light.proven);
    EXPECT_LE(light.from_original.at_most_mm, limit);
    EXPECT_LE(light.from_light.at_most_mm, limit);
    EXPECT_LE(sampled_distance(dense, light.mesh), limit);
    EXPECT_LE(sampled_distance(light.mesh, dense), limit);
    EXPECT_LT(light.mesh.triangles.cols(), dense.triangles.cols() / 3);
    EXPECT_EQ(edges_of(light.mesh).open, 0U);
    EXPECT_EQ(edges_of(light.mesh).non_manifold, 0U);
  }
}

TEST(Lighten, KeepsSharpEdgesAndHoles) {
  const Mesh dense = mend(test::refined(test::bracket(), test::is_long_run() ? 1.5 : 2.5)).mesh;
  const Lightened light = lighten(dense, within(0.01));
  EXPECT_LT(light.mesh.triangles.cols(), dense.triangles.cols() / 5);
  EXPECT_NEAR(signed_volume_mm3(light.mesh), signed_volume_mm3(dense),
              0.01 * surface_area_mm2(dense));
  EXPECT_EQ(edges_of(light.mesh).open, 0U);
  EXPECT_EQ(edges_of(light.mesh).non_manifold, 0U);
}

TEST(Lighten, LeavesOpenEdgesVertexByVertex) {
  test::PanelOptions fine;
  fine.grid_mm = 1.0;
  const Mesh dense = mend(test::wing_panel(fine)).mesh;
  const Lightened light = lighten(dense, within(0.02));
  EXPECT_LT(light.mesh.triangles.cols(), dense.triangles.cols() / 2);
  EXPECT_EQ(edges_of(light.mesh).open, edges_of(dense).open);
}

TEST(Lighten, StopsAtTheNumberOfTrianglesAskedFor) {
  LightenSettings settings = within(1.0);
  settings.least_triangles = 20'000;
  const Lightened light = lighten(test::sphere(50, 6), settings);
  EXPECT_LE(light.mesh.triangles.cols(), 40'000);
  EXPECT_GE(light.mesh.triangles.cols(), 19'500);  // blocks round, each by two triangles
  EXPECT_LT(light.from_original.at_most_mm, 1.0);
}

TEST(Lighten, GivesBackTheOriginalWhereNothingCanGo) {
  const Mesh box = test::box({0, 0, 0}, {10, 20, 30});
  const Lightened light = lighten(box, within(0.001));
  EXPECT_EQ(light.mesh.triangles.cols(), 12);
  EXPECT_TRUE(light.from_original.proven && light.from_light.proven);
}

TEST(Lighten, WorksFarFromTheOrigin) {
  // At 50 m single precision steps by 4 µm.
  const Mesh dense = test::moved(test::sphere(50, 5),
                                 Eigen::Isometry3d(Eigen::Translation3d(50'000, -20'000, 7'000)));
  const Lightened light = lighten(dense, within(0.2));
  EXPECT_LT(light.mesh.triangles.cols(), dense.triangles.cols() / 2);
  EXPECT_LE(sampled_distance(light.mesh, dense), 0.2);
}

}  // namespace
}  // namespace trammel
