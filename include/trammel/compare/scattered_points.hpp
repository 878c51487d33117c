#pragma once

/// Points that lie on no scanned surface: strays told by their neighbours, not by the design.

#include <Eigen/Core>
#include <cstdint>
#include <vector>

#include "trammel/geometry/point_index.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel {

/// Points of a surface have others beside them, level with them; about a stray they lie at every
/// height. How many would lie level with it by chance follows from how many strays there are: those
/// points that hardly any neighbour is level with, per mm³ of the box. A point is scattered where
/// strays alone would place as many points level with it, and as near, once in a hundred times or
/// oftener, whichever of its nearest are counted. Where there are no strays nothing is scattered,
/// however coarsely it was scanned; among many, points of a surface must lie denser than they.
/// @param points_mm  3 × #P, design frame
/// @param normals    3 × #P, unit
/// @param index      of the points, or of some that stand for their neighbourhoods
/// @param box        about the design, where strays matter and are counted
/// @return #P, 1: scattered
[[nodiscard]] std::vector<std::uint8_t> scattered_points(const Eigen::Matrix3Xd& points_mm,
                                                         const Eigen::Matrix3Xd& normals,
                                                         const PointIndex& index, const Box& box);

}  // namespace trammel
