#include "reference/nasty_meshes.hpp"

#include <Eigen/Geometry>
#include <cmath>

#include "support/shapes.hpp"
#include "trammel/base/random.hpp"

namespace trammel::test {
namespace {

using Eigen::Vector3d;

/// Triangles of their own corners: three points a triangle.
Mesh soup_of(const std::vector<Vector3d>& corners) {
  Mesh mesh;
  mesh.vertices_mm.resize(3, static_cast<Eigen::Index>(corners.size()));
  mesh.triangles.resize(3, static_cast<Eigen::Index>(corners.size() / 3));
  for (std::size_t i = 0; i < corners.size(); ++i) {
    const auto c = static_cast<Eigen::Index>(i);
    mesh.vertices_mm.col(c) = corners[i];
    mesh.triangles(c % 3, c / 3) = static_cast<int>(i);
  }
  return mesh;
}

/// Long sides of 20 to 60 mm. A needle has two corners nearly at one place, a sliver three nearly
/// in one line; heights fall from 1 mm to 1e-11 mm.
Mesh thin_triangles(bool needles) {
  Rng rng(needles ? 31 : 32);
  std::vector<Vector3d> corners;
  for (int i = 0; i < 120; ++i) {
    const Vector3d a = 40.0 * rng.uniform() * rng.direction();
    const Vector3d along = rng.uniform(20.0, 60.0) * rng.direction();
    const Vector3d off = std::pow(10.0, -i / 10.0) * along.unitOrthogonal();
    const double share = needles ? 1.0 : rng.uniform(0.1, 0.9);
    corners.insert(corners.end(), {a, a + along, a + share * along + off});
  }
  return soup_of(corners);
}

void add_triangle(Mesh& mesh, int a, int b, int c) {
  mesh.triangles.conservativeResize(3, mesh.triangles.cols() + 1);
  mesh.triangles.rightCols<1>() << a, b, c;
}

/// A box with faces given twice, once the wrong way round, and triangles that are a segment or a
/// point, also where nothing else is.
Mesh with_twins_and_flat_ones() {
  Mesh mesh = box({0, 0, 0}, {40, 30, 20});
  const Eigen::Vector3i first = mesh.triangles.col(0), second = mesh.triangles.col(5);
  add_triangle(mesh, first[0], first[1], first[2]);
  add_triangle(mesh, second[0], second[2], second[1]);
  add_triangle(mesh, first[0], first[1], first[1]);
  add_triangle(mesh, first[2], first[2], first[2]);
  const auto far = static_cast<int>(mesh.vertices_mm.cols());
  mesh.vertices_mm.conservativeResize(3, far + 4);
  mesh.vertices_mm.rightCols<4>() << 60, 70, 95, -30, 5, 5, 5, 5, 5, 5, 5, 5;
  add_triangle(mesh, far, far + 2, far + 1);
  add_triangle(mesh, far + 3, far + 3, far + 3);
  return mesh;
}

/// Strips that meet a longer edge in its middle: 1, 2, 3 … triangles along one line.
Mesh with_t_junctions() {
  std::vector<Vector3d> corners;
  for (int strip = 0; strip < 8; ++strip) {
    const int parts = strip + 1;
    const double low = 5.0 * strip, high = low + 5.0;
    const double lift = strip % 2 == 0 ? 0.0 : 1.0;  // every other line is a ridge
    for (int k = 0; k < parts; ++k) {
      const double from = 40.0 * k / parts, to = 40.0 * (k + 1) / parts;
      corners.insert(corners.end(), {{from, low, lift}, {to, low, lift}, {to, high, 1.0 - lift}});
      corners.insert(corners.end(),
                     {{from, low, lift}, {to, high, 1.0 - lift}, {from, high, 1.0 - lift}});
    }
  }
  return soup_of(corners);
}

/// A cone whose tip is shared by all its triangles; the tip is the only pole of both fans.
Mesh fan_of(int blades) {
  Mesh mesh;
  mesh.vertices_mm.resize(3, blades + 2);
  mesh.triangles.resize(3, 2 * blades);
  mesh.vertices_mm.col(blades) << 0, 0, 30;
  mesh.vertices_mm.col(blades + 1) << 0, 0, 22;  // a hollow under the tip: a knife edge all round
  for (int i = 0; i < blades; ++i) {
    const double angle = 2.0 * 3.14159265358979323846 * i / blades;
    mesh.vertices_mm.col(i) << 25 * std::cos(angle), 25 * std::sin(angle), 0;
    mesh.triangles.col(2 * i) << i, (i + 1) % blades, blades;
    mesh.triangles.col(2 * i + 1) << (i + 1) % blades, i, blades + 1;
  }
  return mesh;
}

/// An icosphere whose vertices are pulled out or pushed in by turns: spikes and saddles.
Mesh hedgehog(double least, double most) {
  Mesh mesh = sphere(20.0, 2);
  Rng rng(33);
  for (Eigen::Index i = 0; i < mesh.vertices_mm.cols(); ++i)
    mesh.vertices_mm.col(i) *= rng.uniform(least, most);
  return mesh;
}

/// A prism over a wedge of so small an angle.
Mesh knife(double angle_rad) {
  const double rise = 50.0 * std::tan(0.5 * angle_rad);
  return extrude({{{0, 0}, {50, -rise}, {50, rise}}}, 30.0);
}

/// Two blocks that share a whole face's place, and a third that shares an edge, a fourth a corner.
Mesh touching_shells() {
  return together({box({0, 0, 0}, {10, 10, 10}), box({10, 0, 0}, {20, 10, 10}),
                   box({20, 10, 0}, {30, 20, 10}), box({30, 20, 10}, {40, 30, 20})});
}

}  // namespace

std::vector<NastyMesh> nasty_meshes() {
  const Eigen::Isometry3d far_away(Eigen::Translation3d(5000, -5000, 5000));
  return {{"needles", thin_triangles(true)},
          {"slivers", thin_triangles(false)},
          {"twins and flat triangles", with_twins_and_flat_ones()},
          {"T-junctions", with_t_junctions()},
          {"vertex of 400 triangles", fan_of(200)},
          {"touching shells", touching_shells()},
          {"spikes far from the origin", moved(hedgehog(0.3, 1.5), far_away)},
          {"needles far from the origin", moved(thin_triangles(true), far_away)}};
}

std::vector<NastyMesh> sharp_solids() {
  return {{"knife of 4 degrees", knife(0.07)},
          {"knife of 0.06 degrees", knife(0.001)},
          {"hollow cone", fan_of(60)},
          {"gentle saddles", hedgehog(0.8, 1.2)},
          {"spikes", hedgehog(0.2, 2.5)},
          {"torus", torus(20, 8, 24, 12)},
          {"housing", housing()}};
}

}  // namespace trammel::test
