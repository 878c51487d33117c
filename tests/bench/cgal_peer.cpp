#include <CGAL/AABB_traits.h>
#include <CGAL/AABB_tree.h>
#include <CGAL/AABB_triangle_primitive.h>
#include <CGAL/Simple_cartesian.h>

#include <vector>

#include "bench/closest_peers.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel::bench {
namespace {

using Kernel = CGAL::Simple_cartesian<double>;
using Triangles = std::vector<Kernel::Triangle_3>;
using Primitive = CGAL::AABB_triangle_primitive<Kernel, Triangles::const_iterator>;
using AabbTree = CGAL::AABB_tree<CGAL::AABB_traits<Kernel, Primitive>>;

Kernel::Point_3 point_of(const Eigen::Vector3d& p) {
  return {p.x(), p.y(), p.z()};
}

}  // namespace

struct CgalPeer::Tree {
  Triangles triangles;
  AabbTree tree;
};

CgalPeer::CgalPeer(const Mesh& mesh) : tree_(std::make_unique<Tree>()) {
  tree_->triangles.reserve(static_cast<std::size_t>(mesh.triangles.cols()));
  const auto corner = [&](Eigen::Index f, int k) {
    return point_of(mesh.vertices_mm.col(mesh.triangles(k, f)));
  };
  for (Eigen::Index f = 0; f < mesh.triangles.cols(); ++f)
    tree_->triangles.emplace_back(corner(f, 0), corner(f, 1), corner(f, 2));
  tree_->tree.insert(tree_->triangles.cbegin(), tree_->triangles.cend());
  tree_->tree.build();
  tree_->tree.accelerate_distance_queries();
}

CgalPeer::~CgalPeer() = default;

Eigen::Matrix3Xd CgalPeer::feet(const Eigen::Matrix3Xd& points_mm) const {
  Eigen::Matrix3Xd feet(3, points_mm.cols());
  for_each_index(static_cast<std::size_t>(points_mm.cols()), [&](std::size_t i) {
    const auto q = static_cast<Eigen::Index>(i);
    const auto closest = tree_->tree.closest_point_and_primitive(point_of(points_mm.col(q)));
    feet.col(q) << closest.first.x(), closest.first.y(), closest.first.z();
  });
  return feet;
}

}  // namespace trammel::bench
