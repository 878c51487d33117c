#include "support/shapes.hpp"

#include <algorithm>
#include <array>
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <map>
#include <utility>

#include "support/solid_builder.hpp"
#include "trammel/base/constants.hpp"

namespace trammel::test {
namespace {

/// Middles of edges longer than a limit, each made once, so that neighbours stay joined.
class EdgeMiddles {
 public:
  EdgeMiddles(const Mesh& mesh, double limit_mm) : limit_mm_(limit_mm) {
    for (Eigen::Index i = 0; i < mesh.vertices_mm.cols(); ++i)
      vertices_.emplace_back(mesh.vertices_mm.col(i));
  }

  /// Index of the middle vertex, or −1 for an edge that is short enough.
  int of(int a, int b) {
    const Eigen::Vector3d& p = vertices_[static_cast<std::size_t>(a)];
    const Eigen::Vector3d& q = vertices_[static_cast<std::size_t>(b)];
    if ((p - q).norm() <= limit_mm_) return -1;
    const auto [entry, is_new] =
        index_.try_emplace(std::minmax(a, b), static_cast<int>(vertices_.size()));
    if (is_new) vertices_.emplace_back(0.5 * (p + q));
    return entry->second;
  }

  [[nodiscard]] double length_mm(int a, int b) const {
    return (vertices_[static_cast<std::size_t>(a)] - vertices_[static_cast<std::size_t>(b)]).norm();
  }

  [[nodiscard]] const std::vector<Eigen::Vector3d>& vertices() const { return vertices_; }

 private:
  double limit_mm_;
  std::vector<Eigen::Vector3d> vertices_;
  std::map<std::pair<int, int>, int> index_;
};

/// The two to four triangles that a triangle falls into when some of its edges are halved.
void append_split(std::vector<Eigen::Vector3i>& out, Eigen::Vector3i t, EdgeMiddles& middles) {
  Eigen::Vector3i m(middles.of(t[0], t[1]), middles.of(t[1], t[2]), middles.of(t[2], t[0]));
  const int halved = static_cast<int>((m.array() >= 0).count());
  if (halved == 0) return out.push_back(t);
  if (halved == 3) {
    out.insert(out.end(), {{t[0], m[0], m[2]}, {m[0], t[1], m[1]}, {m[2], m[1], t[2]}, m});
    return;
  }
  // Turn the triangle until edge 0 is halved and edge 2 is whole.
  while (m[0] < 0 || m[2] >= 0) {
    t = Eigen::Vector3i(t[1], t[2], t[0]);
    m = Eigen::Vector3i(m[1], m[2], m[0]);
  }
  if (halved == 1) {
    out.insert(out.end(), {{t[0], m[0], t[2]}, {m[0], t[1], t[2]}});
    return;
  }
  out.emplace_back(m[0], t[1], m[1]);
  if (middles.length_mm(t[0], m[1]) < middles.length_mm(m[0], t[2])) {
    out.insert(out.end(), {{t[0], m[0], m[1]}, {t[0], m[1], t[2]}});
  } else {
    out.insert(out.end(), {{t[0], m[0], t[2]}, {m[0], m[1], t[2]}});
  }
}

Mesh mesh_of(const std::vector<Eigen::Vector3d>& vertices_mm,
             const std::vector<Eigen::Vector3i>& triangles) {
  Mesh mesh;
  mesh.vertices_mm.resize(3, static_cast<Eigen::Index>(vertices_mm.size()));
  mesh.triangles.resize(3, static_cast<Eigen::Index>(triangles.size()));
  for (std::size_t i = 0; i < vertices_mm.size(); ++i)
    mesh.vertices_mm.col(static_cast<Eigen::Index>(i)) = vertices_mm[i];
  for (std::size_t i = 0; i < triangles.size(); ++i)
    mesh.triangles.col(static_cast<Eigen::Index>(i)) = triangles[i];
  return mesh;
}

Mesh halved_edges(const Mesh& mesh, double longer_than_mm) {
  EdgeMiddles middles(mesh, longer_than_mm);
  std::vector<Eigen::Vector3i> triangles;
  for (Eigen::Index i = 0; i < mesh.triangles.cols(); ++i)
    append_split(triangles, mesh.triangles.col(i), middles);
  Mesh out = mesh_of(middles.vertices(), triangles);
  out.name = mesh.name;
  return out;
}

/// Golden-ratio corners of an icosahedron, triangles wound outward.
Mesh icosahedron() {
  const double g = 0.5 * (1.0 + std::sqrt(5.0));
  return mesh_of(
      {{-1, g, 0},
       {1, g, 0},
       {-1, -g, 0},
       {1, -g, 0},
       {0, -1, g},
       {0, 1, g},
       {0, -1, -g},
       {0, 1, -g},
       {g, 0, -1},
       {g, 0, 1},
       {-g, 0, -1},
       {-g, 0, 1}},
      {{0, 11, 5},  {0, 5, 1},  {0, 1, 7},  {0, 7, 10}, {0, 10, 11}, {1, 5, 9}, {5, 11, 4},
       {11, 10, 2}, {10, 7, 6}, {7, 1, 8},  {3, 9, 4},  {3, 4, 2},   {3, 2, 6}, {3, 6, 8},
       {3, 8, 9},   {4, 9, 5},  {2, 4, 11}, {6, 2, 10}, {8, 6, 7},   {9, 8, 1}});
}

Eigen::Vector3d at_height(const Eigen::Vector2d& p, double z_mm) {
  return {p.x(), p.y(), z_mm};
}

}  // namespace

Mesh box(const Eigen::Vector3d& low_mm, const Eigen::Vector3d& high_mm) {
  const Eigen::Vector2d size = (high_mm - low_mm).head<2>();
  Mesh mesh = extrude({{{0, 0}, {size.x(), 0}, size, {0, size.y()}}}, high_mm.z() - low_mm.z());
  // The corners exactly as given: low + (high − low) need not round to high.
  for (Eigen::Index i = 0; i < mesh.vertices_mm.cols(); ++i) {
    const Eigen::Vector3d corner = mesh.vertices_mm.col(i);
    mesh.vertices_mm.col(i) = (corner.array() > 0.0).select(high_mm, low_mm);
  }
  return mesh;
}

Mesh sphere(double radius_mm, int levels) {
  Mesh mesh = icosahedron();
  mesh.vertices_mm.colwise().normalize();
  for (int level = 0; level < levels; ++level) {
    mesh = halved_edges(mesh, 0.0);
    mesh.vertices_mm.colwise().normalize();
  }
  mesh.vertices_mm *= radius_mm;
  return mesh;
}

Mesh cylinder(double radius_mm, double height_mm, int segments) {
  const Eigen::Vector3d up = height_mm * Eigen::Vector3d::UnitZ();
  const Eigen::Vector3d low = -0.5 * up, high = low + up;
  const Loop ring = circle(low, Eigen::Vector3d::UnitZ(), 2.0 * radius_mm, segments);
  SolidBuilder solid;
  solid.wall(ring, up);
  // Caps as fans around a centre: even triangles, the same in every turn.
  for (std::size_t i = 0; i < ring.size(); ++i) {
    const Eigen::Vector3d& a = ring[i];
    const Eigen::Vector3d& b = ring[(i + 1) % ring.size()];
    solid.triangle(low, b, a);
    solid.triangle(high, a + up, b + up);
  }
  return solid.build();
}

Mesh torus(double ring_mm, double tube_mm, int ring_segments, int tube_segments) {
  const auto corner = [&](int i, int j) {
    const double turn = 2.0 * kPi * (i % ring_segments) / ring_segments;
    const double around = 2.0 * kPi * (j % tube_segments) / tube_segments;
    const double r = ring_mm + tube_mm * std::cos(around);
    return Eigen::Vector3d(r * std::cos(turn), r * std::sin(turn), tube_mm * std::sin(around));
  };
  SolidBuilder solid;
  for (int i = 0; i < ring_segments; ++i) {
    for (int j = 0; j < tube_segments; ++j) {
      solid.triangle(corner(i, j), corner(i + 1, j), corner(i + 1, j + 1));
      solid.triangle(corner(i, j), corner(i + 1, j + 1), corner(i, j + 1));
    }
  }
  return solid.build();
}

Mesh turned(const std::vector<Eigen::Vector2d>& outline, int segments) {
  const auto corner = [&](const Eigen::Vector2d& p, int i) {
    const double turn = 2.0 * kPi * (i % segments) / segments;
    return Eigen::Vector3d(p.x() * std::cos(turn), p.x() * std::sin(turn), p.y());
  };
  SolidBuilder solid;
  for (std::size_t k = 0; k < outline.size(); ++k) {
    const Eigen::Vector2d &from = outline[k], &to = outline[(k + 1) % outline.size()];
    for (int i = 0; i < segments; ++i) {
      if (from.x() > 0.0) solid.triangle(corner(from, i), corner(from, i + 1), corner(to, i));
      if (to.x() > 0.0) solid.triangle(corner(from, i + 1), corner(to, i + 1), corner(to, i));
    }
  }
  return solid.build();
}

Mesh bushing(int segments) {
  return turned({{8.5, 0}, {17, 0}, {17, 4}, {12.5, 4}, {12.5, 30}, {8.5, 30}}, segments);
}

Mesh plate(double width_mm, double depth_mm, double thickness_mm,
           const std::vector<PlateHole>& holes) {
  std::vector<std::vector<Eigen::Vector2d>> loops{
      {{0, 0}, {width_mm, 0}, {width_mm, depth_mm}, {0, depth_mm}}};
  for (const PlateHole& hole : holes) {
    auto& loop = loops.emplace_back();
    for (const Eigen::Vector3d& p :
         circle(at_height(hole.center_mm, 0.0), -Eigen::Vector3d::UnitZ(), hole.diameter_mm,
                hole.segments)) {
      loop.emplace_back(p.head<2>());
    }
  }
  return extrude(loops, thickness_mm);
}

Mesh extrude(const std::vector<std::vector<Eigen::Vector2d>>& loops, double height_mm) {
  const Eigen::Vector3d up = height_mm * Eigen::Vector3d::UnitZ();
  SolidBuilder solid;
  std::vector<Loop> bottom, top;
  for (const auto& loop : loops) {
    auto& low = bottom.emplace_back();
    for (const Eigen::Vector2d& p : loop)
      low.push_back(at_height(p, 0.0));
    top.push_back(shifted(low, up));
    solid.wall(low, up);
  }
  solid.face(bottom, -Eigen::Vector3d::UnitZ());
  solid.face(top, Eigen::Vector3d::UnitZ());
  return solid.build();
}

double to_six_digits(double value) {
  std::array<char, 32> text{};
  std::snprintf(text.data(), text.size(), "%g", value);
  return std::strtod(text.data(), nullptr);
}

Mesh moved(Mesh mesh, const Eigen::Isometry3d& motion) {
  mesh.vertices_mm = ((motion.linear() * mesh.vertices_mm).colwise() + motion.translation()).eval();
  return mesh;
}

Mesh tray(double thickness_mm) {
  const double t = thickness_mm;
  return together({box({0, 0, 0}, {180, 120, t}), box({0, 0, 0}, {180, t, 35}),
                   box({0, 120 - t, 0}, {180, 120, 35}), box({0, 0, 0}, {t, 120, 35}),
                   box({180 - t, 0, 0}, {180, 120, 35}), box({180, 35, 35 - t}, {205, 80, 35}),
                   box({30, 75, 0}, {100, 75 + t, 18})});
}

Mesh refined(const Mesh& mesh, double longest_edge_mm) {
  Mesh now = mesh;
  for (;;) {
    Mesh next = halved_edges(now, longest_edge_mm);
    if (next.triangles.cols() == now.triangles.cols()) return now;
    now = std::move(next);
  }
}

Mesh together(const std::vector<Mesh>& meshes) {
  Eigen::Index vertices = 0, triangles = 0;
  for (const Mesh& mesh : meshes) {
    vertices += mesh.vertices_mm.cols();
    triangles += mesh.triangles.cols();
  }
  Mesh all;
  all.vertices_mm.resize(3, vertices);
  all.triangles.resize(3, triangles);
  vertices = triangles = 0;
  for (const Mesh& mesh : meshes) {
    all.vertices_mm.middleCols(vertices, mesh.vertices_mm.cols()) = mesh.vertices_mm;
    all.triangles.middleCols(triangles, mesh.triangles.cols()) =
        mesh.triangles.array() + static_cast<int>(vertices);
    vertices += mesh.vertices_mm.cols();
    triangles += mesh.triangles.cols();
  }
  return all;
}

}  // namespace trammel::test
