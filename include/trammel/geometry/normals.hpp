#pragma once

/// Normals of scanned points, from their neighbours.

#include <Eigen/Core>

#include "trammel/geometry/point_index.hpp"

namespace trammel {

/// Unit normals as the least spread direction of the `neighbours` nearest points (plane by
/// principal components). Their sign is arbitrary: orient them before it matters.
/// @return 3 × #P
[[nodiscard]] Eigen::Matrix3Xd estimate_normals(const Eigen::Matrix3Xd& points_mm,
                                                const PointIndex& index, int neighbours = 12);

}  // namespace trammel
