#pragma once

#include <Eigen/Core>

#include "trammel/geometry/point_index.hpp"

namespace trammel {

/// Makes neighbouring normals agree, along a minimum spanning tree of 1 − |n · m| over the
/// `neighbours` nearest [Hoppe et al. 1992, doi:10.1145/133994.134011]. Each connected piece is
/// then turned so that Σ n · (p − centroid) ≥ 0: outward for a body that was seen all round, the
/// bulging side for an open sheet. For a flat sheet that is a guess.
/// @param points_mm  3 × #P; `index` is over them
/// @param normals    3 × #P unit, of arbitrary sign
[[nodiscard]] Eigen::Matrix3Xd oriented_normals(const Eigen::Matrix3Xd& points_mm,
                                                const PointIndex& index, Eigen::Matrix3Xd normals,
                                                int neighbours = 8);

}  // namespace trammel
