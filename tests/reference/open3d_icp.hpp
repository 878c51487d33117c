#pragma once

/// Open3D's point-to-plane ICP, where it is installed: a peer for the fine half of aligning.

#include <Eigen/Core>
#include <Eigen/Geometry>
#include <optional>

namespace trammel::test {

/// The motion that lays the scan on the samples of a surface, from a start; nothing where the tests
/// were built without Open3D (Debian: libopen3d-dev).
/// @param scan_mm            3 × #P
/// @param surface_mm, normals  3 × #S
/// @param reach_mm           no pair is longer
[[nodiscard]] std::optional<Eigen::Isometry3d> open3d_icp(const Eigen::Matrix3Xd& scan_mm,
                                                          const Eigen::Matrix3Xd& surface_mm,
                                                          const Eigen::Matrix3Xd& normals,
                                                          const Eigen::Isometry3d& start,
                                                          double reach_mm);

}  // namespace trammel::test
