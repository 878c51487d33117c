#pragma once

/// CGAL's answers, for comparison: kept in one file because its headers are slow to compile.

#include <Eigen/Core>
#include <memory>

#include "trammel/model/mesh.hpp"

namespace trammel::test {

/// Distance to a triangle soup by CGAL's AABB tree in double precision. Triangles without area are
/// left out: their sides belong to neighbours in the meshes used here.
class CgalDistance {
 public:
  explicit CgalDistance(const Mesh& mesh);
  ~CgalDistance();
  [[nodiscard]] double operator()(const Eigen::Vector3d& point_mm) const;

 private:
  struct Tree;
  std::unique_ptr<Tree> tree_;
};

/// Distance by trying every triangle in exact rational arithmetic; only the last root is rounded.
/// Triangles without area count as the segment or point they are. Slow: about 10 µs a triangle.
[[nodiscard]] double exact_distance_mm(const Mesh& mesh, const Eigen::Vector3d& point_mm);

/// A surface through scattered points by CGAL's advancing front; open where they end. Wound so that
/// most triangles face along the points' normals.
[[nodiscard]] Mesh surface_through(const Eigen::Matrix3Xd& points_mm,
                                   const Eigen::Matrix3Xd& normals);

}  // namespace trammel::test
