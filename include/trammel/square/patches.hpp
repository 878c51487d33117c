#pragma once

#include <Eigen/Core>

#include "trammel/geometry/point_index.hpp"

namespace trammel {

/// Small planes of a scan, spread along it.
struct Patches {
  Eigen::Matrix3Xd points_mm;  ///< 3 × #P, on their planes
  Eigen::Matrix3Xd normals;    ///< 3 × #P unit, of arbitrary sign
  double noise_mm = 0.0;       ///< 1 σ of the scan's points about them, the median
  double diagonal_mm = 0.0;    ///< of the box around all points
  [[nodiscard]] Eigen::Index size() const { return points_mm.cols(); }
};

/// Planes through the 16 points nearest to every n-th point, so that about `count` come out; none
/// at edges, where there is no plane.
/// @param points_mm  3 × #P in an order along the surface (tidy's), finite; `index` is over them
[[nodiscard]] Patches patches_of(const Eigen::Matrix3Xd& points_mm, const PointIndex& index,
                                 Eigen::Index count);

}  // namespace trammel
