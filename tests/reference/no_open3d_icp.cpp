#include "reference/open3d_icp.hpp"

namespace trammel::test {

std::optional<Eigen::Isometry3d> open3d_icp(const Eigen::Matrix3Xd&, const Eigen::Matrix3Xd&,
                                            const Eigen::Matrix3Xd&, const Eigen::Isometry3d&,
                                            double) {
  return std::nullopt;
}

}  // namespace trammel::test
