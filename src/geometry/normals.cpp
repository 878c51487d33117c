#include "trammel/geometry/normals.hpp"

#include <Eigen/Eigenvalues>

#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

/// Direction in which the neighbours spread least: the eigenvector of the smallest eigenvalue of
/// their covariance. The closed-form solver is enough: on a surface that eigenvalue stands apart.
Eigen::Vector3d least_spread(const Eigen::Matrix3Xd& points_mm,
                             const std::vector<Neighbour>& neighbours) {
  Eigen::Vector3d mean = Eigen::Vector3d::Zero();
  for (const Neighbour& n : neighbours)
    mean += points_mm.col(n.index);
  mean /= static_cast<double>(neighbours.size());
  Eigen::Matrix3d spread = Eigen::Matrix3d::Zero();
  for (const Neighbour& n : neighbours) {
    const Eigen::Vector3d d = points_mm.col(n.index) - mean;
    spread += d * d.transpose();
  }
  Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> eigen;
  eigen.computeDirect(spread);
  return eigen.eigenvectors().col(0).normalized();
}

}  // namespace

Eigen::Matrix3Xd estimate_normals(const Eigen::Matrix3Xd& points_mm, const PointIndex& index,
                                  int neighbours) {
  Eigen::Matrix3Xd normals(3, points_mm.cols());
  for_each_index(static_cast<std::size_t>(points_mm.cols()), [&](std::size_t i) {
    const auto at = static_cast<Eigen::Index>(i);
    normals.col(at) = least_spread(points_mm, index.nearest(points_mm.col(at), neighbours));
  });
  return normals;
}

}  // namespace trammel
