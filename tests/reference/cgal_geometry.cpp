#include "reference/cgal_geometry.hpp"

#include <CGAL/Advancing_front_surface_reconstruction.h>
#include <CGAL/Exact_predicates_inexact_constructions_kernel.h>
#include <CGAL/Gmpq.h>
#include <CGAL/Simple_cartesian.h>
#include <CGAL/squared_distance_3.h>

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>
#include <iterator>
#include <utility>
#include <vector>

#include "support/cgal_tree.hpp"

namespace trammel::test {

struct CgalDistance::Tree : CgalTree {
  using CgalTree::CgalTree;
};

CgalDistance::CgalDistance(const Mesh& mesh) : tree_(std::make_unique<Tree>(mesh)) {}

CgalDistance::~CgalDistance() = default;

double CgalDistance::operator()(const Eigen::Vector3d& point_mm) const {
  return std::sqrt(tree_->tree.squared_distance(CgalTree::point_of(point_mm)));
}

double exact_distance_mm(const Mesh& mesh, const Eigen::Vector3d& point_mm) {
  using Exact = CGAL::Simple_cartesian<CGAL::Gmpq>;
  const auto exact = [](const Eigen::Vector3d& p) { return Exact::Point_3(p.x(), p.y(), p.z()); };
  const Exact::Point_3 query = exact(point_mm);
  std::vector<CGAL::Gmpq> squares;
  for (Eigen::Index f = 0; f < mesh.triangles.cols(); ++f) {
    const Exact::Triangle_3 triangle(exact(mesh.vertices_mm.col(mesh.triangles(0, f))),
                                     exact(mesh.vertices_mm.col(mesh.triangles(1, f))),
                                     exact(mesh.vertices_mm.col(mesh.triangles(2, f))));
    squares.push_back(CGAL::squared_distance(query, triangle));
  }
  return std::sqrt(CGAL::to_double(*std::min_element(squares.begin(), squares.end())));
}

Mesh surface_through(const Eigen::Matrix3Xd& points_mm, const Eigen::Matrix3Xd& normals) {
  using Exact = CGAL::Exact_predicates_inexact_constructions_kernel;
  std::vector<Exact::Point_3> points;
  for (Eigen::Index i = 0; i < points_mm.cols(); ++i)
    points.emplace_back(points_mm(0, i), points_mm(1, i), points_mm(2, i));
  std::vector<std::array<std::size_t, 3>> facets;
  CGAL::advancing_front_surface_reconstruction(points.begin(), points.end(),
                                               std::back_inserter(facets));
  Mesh mesh;
  mesh.vertices_mm = points_mm;
  mesh.triangles.resize(3, static_cast<Eigen::Index>(facets.size()));
  double votes = 0.0;
  for (std::size_t f = 0; f < facets.size(); ++f) {
    const auto column = static_cast<Eigen::Index>(f);
    for (std::size_t k = 0; k < 3; ++k)
      mesh.triangles(static_cast<Eigen::Index>(k), column) = static_cast<int>(facets[f][k]);
    votes += area_vector(mesh, column).dot(normals.col(mesh.triangles(0, column)));
  }
  if (votes < 0.0) mesh.triangles.row(1).swap(mesh.triangles.row(2));
  return mesh;
}

}  // namespace trammel::test
