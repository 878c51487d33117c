#include "trammel/model/scan.hpp"

#include "trammel/base/error.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {

Eigen::Matrix3Xd moved_points(const Eigen::Isometry3d& motion, const Eigen::Matrix3Xd& points_mm) {
  Eigen::Matrix3Xd out(3, points_mm.cols());
  for_each_index(static_cast<std::size_t>(points_mm.cols()), [&](std::size_t i) {
    const auto c = static_cast<Eigen::Index>(i);
    out.col(c) = motion * Eigen::Vector3d(points_mm.col(c));
  });
  return out;
}

void move_scan(Scan& scan, const Eigen::Isometry3d& motion) {
  const bool normals = scan.has_normals();
  for_each_index(static_cast<std::size_t>(scan.size()), [&](std::size_t i) {
    const auto at = static_cast<Eigen::Index>(i);
    scan.points_mm.col(at) = motion * Eigen::Vector3d(scan.points_mm.col(at));
    if (normals) scan.normals.col(at) = motion.linear() * Eigen::Vector3d(scan.normals.col(at));
  });
}

void check_scan(const Scan& scan) {
  TRAMMEL_CHECK(scan.normals.cols() == 0 || scan.normals.cols() == scan.points_mm.cols(),
                "a scan has one normal a point or none");
}

}  // namespace trammel
