#include "support/shapes.hpp"

#include <gtest/gtest.h>

#include <cmath>
#include <map>
#include <utility>

#include "trammel/base/constants.hpp"

namespace trammel::test {
namespace {

/// Rounding of sums over some thousand triangles: 1e4 · 2^-53 ≈ 1e-12 of the whole; ten times that.
constexpr double kRounding = 1e-11;

/// Area of the regular polygon that stands for a circle.
double polygon_area_mm2(int segments, double radius_mm) {
  return 0.5 * segments * radius_mm * radius_mm * std::sin(2.0 * kPi / segments);
}

/// Every edge is run along once each way, so the mesh is closed, manifold and of one winding.
void expect_closed(const Mesh& mesh) {
  check_mesh(mesh);
  std::map<std::pair<int, int>, int> runs;
  for (Eigen::Index i = 0; i < mesh.triangles.cols(); ++i) {
    for (int k = 0; k < 3; ++k)
      ++runs[{mesh.triangles(k, i), mesh.triangles((k + 1) % 3, i)}];
  }
  int bad_edges = 0;
  for (const auto& [edge, count] : runs) {
    if (count != 1 || runs.count({edge.second, edge.first}) != 1) ++bad_edges;
  }
  EXPECT_EQ(bad_edges, 0);
  EXPECT_GT(mesh.triangles.cols(), 0);
}

void expect_solid(const Mesh& mesh, double volume_mm3) {
  expect_closed(mesh);
  EXPECT_NEAR(signed_volume_mm3(mesh), volume_mm3, kRounding * volume_mm3);
}

/// Largest distance from a vertex of the moved mesh to the nearest vertex of the mesh itself.
double vertex_gap_mm(const Mesh& mesh, const Eigen::Isometry3d& motion) {
  double largest = 0.0;
  for (const Eigen::Vector3d p : mesh.vertices_mm.colwise()) {
    const Eigen::Vector3d q = motion * p;
    largest = std::max(largest, (mesh.vertices_mm.colwise() - q).colwise().norm().minCoeff());
  }
  return largest;
}

Eigen::Isometry3d turn_about_center(const Mesh& mesh, const Eigen::Vector3d& axis, double rad) {
  const Eigen::Vector3d center = bounding_box(mesh.vertices_mm).center_mm();
  return Eigen::Translation3d(center) * Eigen::AngleAxisd(rad, axis) *
         Eigen::Translation3d(-center);
}

TEST(Shapes, BoxHasItsVolumeAndArea) {
  const Mesh mesh = box({-1, 2, 3}, {4, 6, 10});
  expect_solid(mesh, 5.0 * 4.0 * 7.0);
  EXPECT_EQ(mesh.triangles.cols(), 12);
  EXPECT_NEAR(surface_area_mm2(mesh), 2.0 * (20.0 + 28.0 + 35.0), 1e-9);
  EXPECT_EQ(bounding_box(mesh.vertices_mm).low_mm, Eigen::Vector3d(-1, 2, 3));
  EXPECT_EQ(bounding_box(mesh.vertices_mm).high_mm, Eigen::Vector3d(4, 6, 10));
}

TEST(Shapes, SphereStartsAsTheIcosahedron) {
  // V = 5/12 · (3 + √5) · a³ with the edge a = 4 r / √(10 + 2√5).
  const double edge_mm = 4.0 * 10.0 / std::sqrt(10.0 + 2.0 * std::sqrt(5.0));
  expect_solid(sphere(10.0, 0), 5.0 / 12.0 * (3.0 + std::sqrt(5.0)) * std::pow(edge_mm, 3));
}

TEST(Shapes, SphereHasItsVerticesOnTheSphere) {
  const Mesh mesh = sphere(10.0, 3);
  expect_closed(mesh);
  EXPECT_EQ(mesh.triangles.cols(), 20 * 64);
  EXPECT_LT((mesh.vertices_mm.colwise().norm().array() - 10.0).abs().maxCoeff(), 1e-13);
  EXPECT_LT(signed_volume_mm3(mesh), 4.0 / 3.0 * kPi * 1000.0);
  EXPECT_GT(signed_volume_mm3(mesh), signed_volume_mm3(sphere(10.0, 2)));
}

TEST(Shapes, CylinderIsThePrismOverItsPolygon) {
  expect_solid(cylinder(7.0, 20.0, 24), 20.0 * polygon_area_mm2(24, 7.0));
}

TEST(Shapes, TorusHasTheVolumeOfItsRingOfPolygons) {
  // Pappus for n straight pieces: V = A · R · n · sin(2π/n), A the polygon of the tube.
  expect_solid(torus(20.0, 5.0, 30, 16),
               polygon_area_mm2(16, 5.0) * 20.0 * 30.0 * std::sin(2.0 * kPi / 30.0));
}

TEST(Shapes, PlateLosesTheVolumeOfItsHoles) {
  expect_solid(plate(80, 50, 4, {{{20, 20}, 8.0}, {{60, 30}, 20.0, 64}}),
               4.0 * (80.0 * 50.0 - polygon_area_mm2(48, 4.0) - polygon_area_mm2(64, 10.0)));
}

TEST(Shapes, ExtrudeSweepsAnOutlineThatIsNotConvex) {
  expect_solid(extrude({{{0, 0}, {10, 0}, {10, 2}, {3, 2}, {3, 8}, {0, 8}}}, 5.0),
               5.0 * (10.0 * 2.0 + 3.0 * 6.0));
}

TEST(Shapes, BracketHasTheVolumeOfItsSheets) {
  const double t = 3.0;
  const double base = 90.0 * 60.0 - 2.0 * polygon_area_mm2(48, 4.2);
  const double upright =
      60.0 * 55.0 - 0.5 * 15.0 * 15.0 - polygon_area_mm2(48, 3.3) - polygon_area_mm2(64, 11.0);
  expect_solid(bracket(), t * (base + upright - 60.0 * t));
}

TEST(Shapes, BracketCanHaveItsHoleElsewhere) {
  BracketOptions options;
  options.second_base_hole_off_mm = {1.4, 0.0};
  expect_solid(bracket(options), signed_volume_mm3(bracket()));
  EXPECT_GT((bracket(options).vertices_mm - bracket().vertices_mm).cwiseAbs().maxCoeff(), 1.39);
}

TEST(Shapes, HousingHasTheVolumeOfItsWallsAndBosses) {
  const double shell = 110.0 * 75.0 * 40.0 - 105.2 * 70.2 * 37.0;
  const double bosses = 4.0 * (18.0 * polygon_area_mm2(40, 3.5) - 12.0 * polygon_area_mm2(32, 1.6));
  const double openings = 2.0 * 3.0 * polygon_area_mm2(48, 3.3) + 2.4 * polygon_area_mm2(56, 7.0);
  expect_solid(housing(), shell + bosses - openings);
}

TEST(Shapes, FlangeHasTheVolumeOfItsRings) {
  expect_solid(flange(6), 8.0 * polygon_area_mm2(96, 45.0) + 14.0 * polygon_area_mm2(96, 23.0) -
                              22.0 * polygon_area_mm2(96, 12.5) -
                              6.0 * 8.0 * polygon_area_mm2(36, 4.5));
}

TEST(Shapes, FlangeLooksTheSameAfterEachBolt) {
  const Mesh mesh = flange(5);
  expect_closed(mesh);
  const auto turn = [&](double rad) {
    return turn_about_center(mesh, Eigen::Vector3d::UnitZ(), rad);
  };
  EXPECT_LT(vertex_gap_mm(mesh, turn(2.0 * kPi / 5.0)), 1e-12);
  EXPECT_GT(vertex_gap_mm(mesh, turn(kPi / 5.0)), 4.0);
}

TEST(Shapes, BracketAndHousingLookDifferentAfterEveryHalfTurn) {
  for (const Mesh& mesh : {bracket(), housing()}) {
    for (int axis = 0; axis < 3; ++axis) {
      const auto turn = turn_about_center(mesh, Eigen::Vector3d::Unit(axis), kPi);
      EXPECT_GT(vertex_gap_mm(mesh, turn), 5.0) << "about axis " << axis;
    }
  }
}

TEST(Shapes, MovedKeepsTheShape) {
  Eigen::Isometry3d motion = Eigen::Isometry3d::Identity();
  motion.rotate(Eigen::AngleAxisd(1.0, Eigen::Vector3d(1, 2, 3).normalized()));
  motion.pretranslate(Eigen::Vector3d(100, -50, 7));
  const Mesh mesh = moved(bracket(), motion);
  expect_solid(mesh, signed_volume_mm3(bracket()));
  EXPECT_LT((motion * bracket().vertices_mm.col(5) - mesh.vertices_mm.col(5)).norm(), 1e-12);
}

TEST(Shapes, RefinedKeepsTheShapeWithShortEdges) {
  const Mesh fine = refined(bracket(), 4.0);
  expect_solid(fine, signed_volume_mm3(bracket()));
  EXPECT_NEAR(surface_area_mm2(fine), surface_area_mm2(bracket()), 1e-7);
  double longest_mm = 0.0;
  for (Eigen::Index i = 0; i < fine.triangles.cols(); ++i) {
    for (int k = 0; k < 3; ++k) {
      longest_mm = std::max(longest_mm, (fine.vertices_mm.col(fine.triangles(k, i)) -
                                         fine.vertices_mm.col(fine.triangles((k + 1) % 3, i)))
                                            .norm());
    }
  }
  EXPECT_LE(longest_mm, 4.0);
}

TEST(Shapes, DisplacedMovesEachVertexByItsOwnAmount) {
  const Mesh mesh = displaced(box({0, 0, 0}, {1, 1, 1}), [](const Eigen::Vector3d& p) {
    return Eigen::Vector3d(p.x(), 0, 0);
  });
  EXPECT_NEAR(signed_volume_mm3(mesh), 2.0, 1e-12);
}

TEST(Shapes, TogetherKeepsEveryMesh) {
  const Mesh all = together({box({0, 0, 0}, {1, 1, 1}), box({5, 0, 0}, {7, 1, 1}), bracket()});
  expect_solid(all, 1.0 + 2.0 + signed_volume_mm3(bracket()));
}

}  // namespace
}  // namespace trammel::test
