#include "reference/open3d_icp.hpp"

#include <open3d/geometry/PointCloud.h>
#include <open3d/pipelines/registration/Registration.h>

#include <vector>

namespace trammel::test {
namespace {

std::vector<Eigen::Vector3d> columns_of(const Eigen::Matrix3Xd& columns) {
  std::vector<Eigen::Vector3d> out;
  for (Eigen::Index i = 0; i < columns.cols(); ++i)
    out.emplace_back(columns.col(i));
  return out;
}

}  // namespace

std::optional<Eigen::Isometry3d> open3d_icp(const Eigen::Matrix3Xd& scan_mm,
                                            const Eigen::Matrix3Xd& surface_mm,
                                            const Eigen::Matrix3Xd& normals,
                                            const Eigen::Isometry3d& start, double reach_mm) {
  namespace registration = open3d::pipelines::registration;
  const open3d::geometry::PointCloud scan(columns_of(scan_mm));
  open3d::geometry::PointCloud surface(columns_of(surface_mm));
  surface.normals_ = columns_of(normals);
  const auto result = registration::RegistrationICP(
      scan, surface, reach_mm, start.matrix(), registration::TransformationEstimationPointToPlane(),
      registration::ICPConvergenceCriteria(1e-9, 1e-9, 100));
  return Eigen::Isometry3d(Eigen::Matrix4d(result.transformation_));
}

}  // namespace trammel::test
