#include "trammel/model/mesh.hpp"

#include <Eigen/Geometry>

#include "trammel/base/error.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {

Box bounding_box(const Eigen::Matrix3Xd& points_mm) {
  if (points_mm.cols() == 0) return {};
  Box box{points_mm.col(0), points_mm.col(0)};
  for (Eigen::Index i = 1; i < points_mm.cols(); ++i) {
    box.low_mm = box.low_mm.cwiseMin(points_mm.col(i));
    box.high_mm = box.high_mm.cwiseMax(points_mm.col(i));
  }
  return box;
}

Eigen::Vector3d area_vector(const Mesh& mesh, Eigen::Index index) {
  const Eigen::Vector3d a = mesh.vertices_mm.col(mesh.triangles(0, index));
  const Eigen::Vector3d b = mesh.vertices_mm.col(mesh.triangles(1, index));
  const Eigen::Vector3d c = mesh.vertices_mm.col(mesh.triangles(2, index));
  return (b - a).cross(c - a);
}

double surface_area_mm2(const Mesh& mesh) {
  return ordered_sum(static_cast<std::size_t>(mesh.triangles.cols()), 0.0, [&](std::size_t i) {
    return 0.5 * area_vector(mesh, static_cast<Eigen::Index>(i)).norm();
  });
}

double signed_volume_mm3(const Mesh& mesh) {
  const Eigen::Vector3d origin = bounding_box(mesh.vertices_mm).center_mm();
  return ordered_sum(static_cast<std::size_t>(mesh.triangles.cols()), 0.0, [&](std::size_t i) {
    const auto index = static_cast<Eigen::Index>(i);
    const Eigen::Vector3d corner = mesh.vertices_mm.col(mesh.triangles(0, index)) - origin;
    return area_vector(mesh, index).dot(corner) / 6.0;
  });
}

void check_mesh(const Mesh& mesh) {
  TRAMMEL_CHECK(mesh.vertices_mm.allFinite(), "mesh coordinates must be finite");
  if (mesh.triangles.cols() == 0) return;
  TRAMMEL_CHECK(mesh.triangles.minCoeff() >= 0 &&
                    mesh.triangles.maxCoeff() < static_cast<int>(mesh.vertices_mm.cols()),
                "triangle corners must be vertices of the mesh");
}

}  // namespace trammel
