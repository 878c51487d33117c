/// Distances of the surface index against CGAL 5.5: its AABB tree in double precision on published
/// meshes, and every triangle in exact arithmetic on nasty ones.

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <filesystem>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "reference/cgal_geometry.hpp"
#include "reference/nasty_meshes.hpp"
#include "reference/open_data.hpp"
#include "trammel/base/error.hpp"
#include "trammel/base/random.hpp"
#include "trammel/geometry/sample_surface.hpp"
#include "trammel/geometry/surface_index.hpp"
#include "trammel/read/read_files.hpp"

namespace trammel {
namespace {

using Eigen::Matrix3Xd;
using Eigen::Vector3d;

constexpr double kAgreement = 1e-9;  // of the part's size, as the project promises

/// Points at and near the surface (up to 1 % of the size off) and all over three times the box.
Matrix3Xd points_near_and_far(const Mesh& mesh, int of_each) {
  const Box box = bounding_box(mesh.vertices_mm);
  Rng rng(11);
  const auto on = sample_surface(mesh, static_cast<std::size_t>(of_each), rng.stream("near"));
  Matrix3Xd points(3, on.points_mm.cols() + of_each);
  for (Eigen::Index i = 0; i < on.points_mm.cols(); ++i) {
    const double off = i % 8 == 0 ? 0.0 : rng.uniform(-0.01, 0.01) * box.diagonal_mm();
    points.col(i) = on.points_mm.col(i) + off * rng.direction();
  }
  for (Eigen::Index i = on.points_mm.cols(); i < points.cols(); ++i)
    for (int k = 0; k < 3; ++k)
      points(k, i) = box.center_mm()[k] + rng.uniform(-1.5, 1.5) * box.size_mm()[k];
  return points;
}

/// How far our distance is from CGAL's. Its double precision loses digits at needles: where the two
/// differ, exact arithmetic says who is right.
double error_mm(const SurfaceIndex& index, const test::CgalDistance& cgal, const Vector3d& point,
                double allowed_mm) {
  const SurfacePoint at = index.nearest(point);
  // The foot lies as far away as the distance says, to the rounding of both.
  EXPECT_NEAR((at.foot_mm - point).norm(), at.distance_mm, allowed_mm);
  const double error = std::abs(at.distance_mm - cgal(point));
  if (error <= allowed_mm) return error;
  return std::abs(at.distance_mm - test::exact_distance_mm(index.mesh(), point));
}

void expect_same_distances(const Mesh& mesh, int of_each) {
  const double size = bounding_box(mesh.vertices_mm).diagonal_mm();
  const SurfaceIndex index(mesh);
  const test::CgalDistance cgal(mesh);
  const Matrix3Xd points = points_near_and_far(mesh, of_each);
  double worst = 0.0;
  for (Eigen::Index i = 0; i < points.cols(); ++i)
    worst = std::max(worst, error_mm(index, cgal, points.col(i), kAgreement * size));
  EXPECT_LE(worst, kAgreement * size) << mesh.name << ", size " << size << " mm";
}

/// The files of the shared data that may hold a mesh, in a fixed order.
std::vector<std::filesystem::path> shared_mesh_files() {
  const std::set<std::string> kinds{".stl", ".STL", ".ply", ".obj", ".off"};
  std::vector<std::filesystem::path> out;
  for (const auto& entry : std::filesystem::recursive_directory_iterator(test::shared_data("")))
    if (kinds.count(entry.path().extension().string()) != 0) out.push_back(entry.path());
  std::sort(out.begin(), out.end());
  return out;
}

// 10,000 seeded queries a mesh are more than half a million in all.
TEST(SurfaceIndex, DistancesAgreeWithCgalOnEverySharedMesh) {
  TRAMMEL_NEEDS(test::shared_data(""));
  int meshes = 0;
  for (const auto& path : shared_mesh_files()) {
    Design design;
    try {
      design = read_design(path, Unit::Mm);
    } catch (const Error&) {
      continue;  // broken on purpose; tests/read says which
    }
    if (surface_area_mm2(design.mesh) == 0.0) continue;
    ++meshes;
    expect_same_distances(design.mesh, 5000);
  }
  EXPECT_GE(meshes, 60);
}

// Exact arithmetic tries every triangle, so the queries are few: near corners and edges, on them,
// and far off.
TEST(SurfaceIndex, DistancesOnNastyMeshesAreExact) {
  for (const auto& [name, mesh] : test::nasty_meshes()) {
    const double size = bounding_box(mesh.vertices_mm).diagonal_mm();
    const SurfaceIndex index(mesh);
    Rng rng(13);
    const auto vertex_count = static_cast<std::size_t>(mesh.vertices_mm.cols());
    for (int i = 0; i < 60; ++i) {
      const auto a = static_cast<Eigen::Index>(rng.index(vertex_count));
      const auto b = static_cast<Eigen::Index>(rng.index(vertex_count));
      const double off = size * std::pow(10.0, -i % 11);
      const Vector3d point =
          mesh.vertices_mm.col(a) +
          rng.uniform() * (mesh.vertices_mm.col(b) - mesh.vertices_mm.col(a)) * (i % 3) * 0.5 +
          (i % 5 == 0 ? 0.0 : off) * rng.direction();
      EXPECT_NEAR(index.nearest(point).distance_mm, test::exact_distance_mm(mesh, point),
                  kAgreement * size)
          << name << " at " << point.transpose();
    }
  }
}

// A foot on an edge of one triangle is marked, and only such a one: counted here edge by edge.
TEST(SurfaceIndex, EveryFootOnABorderEdgeOfAnOpenMeshIsMarked) {
  for (const char* file : {"flawed/a/sphereWithHole.stl", "flawed/b/soup.stl"}) {
    const auto path = test::shared_data(file);
    TRAMMEL_NEEDS(path);
    const Mesh mesh = read_design(path, Unit::Mm).mesh;
    const SurfaceIndex index(mesh);
    std::multiset<std::pair<int, int>> uses;
    for (Eigen::Index f = 0; f < mesh.triangles.cols(); ++f)
      for (int k = 0; k < 3; ++k)
        uses.insert(std::minmax(mesh.triangles(k, f), mesh.triangles((k + 1) % 3, f)));
    const Matrix3Xd points = points_near_and_far(mesh, 3000);
    int marked = 0;
    for (Eigen::Index i = 0; i < points.cols(); ++i) {
      const SurfacePoint at = index.nearest(points.col(i));
      const int side = static_cast<int>(at.feature) - static_cast<int>(Feature::Edge0);
      if (side < 0 || side > 2) continue;
      const int from = mesh.triangles(side, at.triangle);
      const int to = mesh.triangles((side + 1) % 3, at.triangle);
      const bool border = uses.count(std::minmax(from, to)) == 1;
      EXPECT_EQ(index.on_border(at), border) << file << " at " << points.col(i).transpose();
      marked += border ? 1 : 0;
    }
    EXPECT_GT(marked, 20) << file;
  }
}

class OfDebian : public testing::TestWithParam<const char*> {};

TEST_P(OfDebian, DistancesAgreeWithCgal) {
  const auto path = test::debian_data(GetParam());
  TRAMMEL_NEEDS(path);
  expect_same_distances(read_design(path, Unit::Mm).mesh, 2000);
}

// Data sets of CGAL, Debian package libcgal-demo 5.5.1; the last three are flawed on purpose.
INSTANTIATE_TEST_SUITE_P(SurfaceIndex, OfDebian,
                         testing::Values("meshes/anchor.off", "meshes/anchor_dense.off",
                                         "meshes/couplingdown.off", "meshes/fandisk.off",
                                         "meshes/joint.off", "meshes/pinion.off",
                                         "meshes/rotor.off", "meshes/spool.off",
                                         "meshes/elephant.off", "meshes/mech-holes-shark.off",
                                         "meshes/elephant-with-holes.off",
                                         "meshes/degtri_sliding.off"));

}  // namespace
}  // namespace trammel
