#pragma once

#include <Eigen/Core>
#include <string>

#include "trammel/model/mesh.hpp"

namespace trammel {

/// A point cloud as a surface: one small equilateral triangle a point, across its normal, so that
/// all that aims at a mesh (closest point, facing, sampling by area) can aim at points. Triangles
/// overlap and are not welded: the surface has neither edges nor an inside.
/// @param points_mm  3 × #P, as even as can be
/// @param normals    3 × #P unit; the triangles look that way
/// @param radius_mm  of the circle inside each triangle: about the points' spacing, > 0
[[nodiscard]] Mesh surfel_mesh(const Eigen::Matrix3Xd& points_mm, const Eigen::Matrix3Xd& normals,
                               double radius_mm, const std::string& name);

}  // namespace trammel
