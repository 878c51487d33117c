#include "trammel/geometry/surfels.hpp"

#include <cmath>

#include "trammel/base/error.hpp"

namespace trammel {

Mesh surfel_mesh(const Eigen::Matrix3Xd& points_mm, const Eigen::Matrix3Xd& normals,
                 double radius_mm, const std::string& name) {
  TRAMMEL_CHECK(normals.cols() == points_mm.cols(), "surfels need a normal a point");
  TRAMMEL_CHECK(radius_mm > 0.0, "surfels need a size");
  const Eigen::Index count = points_mm.cols();
  Mesh mesh;
  mesh.name = name;
  mesh.vertices_mm.resize(3, 3 * count);
  mesh.triangles.resize(3, count);
  const double half_side = std::sqrt(3.0) * radius_mm;
  for (Eigen::Index i = 0; i < count; ++i) {
    const Eigen::Vector3d n = normals.col(i);
    const Eigen::Vector3d u = n.unitOrthogonal();
    const Eigen::Vector3d v = n.cross(u);
    mesh.vertices_mm.col(3 * i) = points_mm.col(i) + 2.0 * radius_mm * v;
    mesh.vertices_mm.col(3 * i + 1) = points_mm.col(i) - half_side * u - radius_mm * v;
    mesh.vertices_mm.col(3 * i + 2) = points_mm.col(i) + half_side * u - radius_mm * v;
    const int first = static_cast<int>(3 * i);
    mesh.triangles.col(i) << first, first + 1, first + 2;
  }
  return mesh;
}

}  // namespace trammel
