#include "support/solid_builder.hpp"

#include <CGAL/Constrained_Delaunay_triangulation_2.h>
#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Triangulation_face_base_with_info_2.h>
#include <CGAL/Triangulation_vertex_base_with_info_2.h>

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <map>

#include "trammel/base/constants.hpp"
#include "trammel/base/error.hpp"

namespace trammel::test {
namespace {

constexpr int kUnvisited = -1;

using Kernel = CGAL::Exact_predicates_inexact_constructions_kernel;
using Vertices = CGAL::Triangulation_vertex_base_with_info_2<int, Kernel>;
using Faces = CGAL::Constrained_triangulation_face_base_2<
    Kernel, CGAL::Triangulation_face_base_with_info_2<int, Kernel>>;
using Triangulation = CGAL::Constrained_Delaunay_triangulation_2<
    Kernel, CGAL::Triangulation_data_structure_2<Vertices, Faces>>;

/// Two unit vectors that make a right-handed frame with `normal`.
std::array<Eigen::Vector3d, 2> frame_of(const Eigen::Vector3d& normal) {
  Eigen::Index axis = 0;
  normal.cwiseAbs().minCoeff(&axis);
  const Eigen::Vector3d u = normal.cross(Eigen::Vector3d::Unit(axis)).normalized();
  return {u, normal.cross(u)};
}

/// Labels each face with the number of loops around it; odd ones belong to the polygon.
void label_depths(Triangulation& triangulation) {
  for (auto face : triangulation.all_face_handles())
    face->info() = kUnvisited;
  std::vector<Triangulation::Face_handle> level{triangulation.infinite_face()};
  for (int depth = 0; !level.empty(); ++depth) {
    std::vector<Triangulation::Face_handle> next;
    while (!level.empty()) {
      const auto face = level.back();
      level.pop_back();
      if (face->info() != kUnvisited) continue;
      face->info() = depth;
      for (int i = 0; i < 3; ++i) {
        auto& list = face->is_constrained(i) ? next : level;
        if (face->neighbor(i)->info() == kUnvisited) list.push_back(face->neighbor(i));
      }
    }
    level = std::move(next);
  }
}

}  // namespace

Loop circle(const Eigen::Vector3d& center_mm, const Eigen::Vector3d& axis, double diameter_mm,
            int segments) {
  const auto [u, v] = frame_of(axis.normalized());
  Loop loop;
  for (int i = 0; i < segments; ++i) {
    const double angle = 2.0 * kPi * i / segments;
    loop.emplace_back(center_mm + 0.5 * diameter_mm * (std::cos(angle) * u + std::sin(angle) * v));
  }
  return loop;
}

Loop shifted(Loop loop, const Eigen::Vector3d& by_mm) {
  for (Eigen::Vector3d& corner : loop)
    corner += by_mm;
  return loop;
}

void SolidBuilder::triangle(const Eigen::Vector3d& a, const Eigen::Vector3d& b,
                            const Eigen::Vector3d& c) {
  corners_mm_.insert(corners_mm_.end(), {a, b, c});
}

void SolidBuilder::face(const std::vector<Loop>& loops, const Eigen::Vector3d& normal) {
  const auto [u, v] = frame_of(normal);
  Triangulation flat;
  Loop places;
  for (const Loop& loop : loops) {
    std::vector<Triangulation::Vertex_handle> handles;
    for (const Eigen::Vector3d& corner : loop) {
      handles.push_back(flat.insert(Kernel::Point_2(corner.dot(u), corner.dot(v))));
      handles.back()->info() = static_cast<int>(places.size());
      places.push_back(corner);
    }
    for (std::size_t i = 0; i < handles.size(); ++i)
      flat.insert_constraint(handles[i], handles[(i + 1) % handles.size()]);
  }
  TRAMMEL_CHECK(flat.number_of_vertices() == places.size(), "loops must not touch or cross");
  label_depths(flat);
  for (const auto found : flat.finite_face_handles()) {
    if (found->info() % 2 == 0) continue;
    const auto corner = [&](int i) {
      return places[static_cast<std::size_t>(found->vertex(i)->info())];
    };
    triangle(corner(0), corner(1), corner(2));
  }
}

void SolidBuilder::wall(const Loop& loop, const Eigen::Vector3d& sweep_mm) {
  for (std::size_t i = 0; i < loop.size(); ++i) {
    const Eigen::Vector3d& a = loop[i];
    const Eigen::Vector3d& b = loop[(i + 1) % loop.size()];
    triangle(a, b, b + sweep_mm);
    triangle(a, b + sweep_mm, a + sweep_mm);
  }
}

void SolidBuilder::hole_wall(Loop loop, const Eigen::Vector3d& sweep_mm) {
  std::reverse(loop.begin(), loop.end());
  wall(loop, sweep_mm);
}

Mesh SolidBuilder::build() const {
  return welded(corners_mm_);
}

Mesh welded(const std::vector<Eigen::Vector3d>& corners_mm) {
  std::map<std::array<double, 3>, int> index_of;
  std::vector<Eigen::Vector3d> vertices;
  std::vector<Eigen::Vector3i> triangles;
  for (std::size_t first = 0; first < corners_mm.size(); first += 3) {
    Eigen::Vector3i triangle;
    for (std::size_t k = 0; k < 3; ++k) {
      const Eigen::Vector3d& p = corners_mm[first + k];
      const auto [entry, is_new] =
          index_of.try_emplace({p.x(), p.y(), p.z()}, static_cast<int>(vertices.size()));
      if (is_new) vertices.push_back(p);
      triangle[static_cast<Eigen::Index>(k)] = entry->second;
    }
    const bool keeps_corners =
        triangle[0] != triangle[1] && triangle[1] != triangle[2] && triangle[2] != triangle[0];
    if (keeps_corners) triangles.push_back(triangle);
  }
  Mesh mesh;
  mesh.vertices_mm.resize(3, static_cast<Eigen::Index>(vertices.size()));
  mesh.triangles.resize(3, static_cast<Eigen::Index>(triangles.size()));
  for (std::size_t i = 0; i < vertices.size(); ++i)
    mesh.vertices_mm.col(static_cast<Eigen::Index>(i)) = vertices[i];
  for (std::size_t i = 0; i < triangles.size(); ++i)
    mesh.triangles.col(static_cast<Eigen::Index>(i)) = triangles[i];
  return mesh;
}

}  // namespace trammel::test
