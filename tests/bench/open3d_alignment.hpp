#pragma once

/// The alignment of the plain job, in Open3D's own types.

#include <open3d/geometry/PointCloud.h>
#include <open3d/geometry/TriangleMesh.h>

#include <Eigen/Core>

namespace trammel::bench {

/// By FPFH and RANSAC on points thinned to 1/70 of the design's diagonal, then by point-to-plane
/// ICP, with 200,000 points of the design. Its random search is not seeded.
/// @param design  with vertex normals
/// @return homogeneous motion that lays the scan on the design
[[nodiscard]] Eigen::Matrix4d aligned(const open3d::geometry::PointCloud& scan,
                                      open3d::geometry::TriangleMesh& design);

}  // namespace trammel::bench
