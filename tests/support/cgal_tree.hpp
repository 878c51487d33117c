#pragma once

/// CGAL's AABB tree over a mesh, in double precision. Slow to compile: for few files.

#include <CGAL/AABB_traits.h>
#include <CGAL/AABB_tree.h>
#include <CGAL/AABB_triangle_primitive.h>
#include <CGAL/Simple_cartesian.h>

#include <vector>

#include "trammel/model/mesh.hpp"

namespace trammel::test {

/// Triangles without area are left out: CGAL has no plane for them.
struct CgalTree {
  using Kernel = CGAL::Simple_cartesian<double>;
  using Triangles = std::vector<Kernel::Triangle_3>;
  using Primitive = CGAL::AABB_triangle_primitive<Kernel, Triangles::const_iterator>;

  static Kernel::Point_3 point_of(const Eigen::Vector3d& p) { return {p.x(), p.y(), p.z()}; }

  explicit CgalTree(const Mesh& mesh) {
    const auto corner = [&](Eigen::Index f, int k) {
      return point_of(mesh.vertices_mm.col(mesh.triangles(k, f)));
    };
    triangles.reserve(static_cast<std::size_t>(mesh.triangles.cols()));
    for (Eigen::Index f = 0; f < mesh.triangles.cols(); ++f) {
      if (area_vector(mesh, f).squaredNorm() == 0.0) continue;
      triangles.emplace_back(corner(f, 0), corner(f, 1), corner(f, 2));
    }
    tree.insert(triangles.cbegin(), triangles.cend());
    tree.build();
    tree.accelerate_distance_queries();
  }

  Triangles triangles;
  CGAL::AABB_tree<CGAL::AABB_traits<Kernel, Primitive>> tree;
};

}  // namespace trammel::test
