#pragma once

/// Normals on thin walls, where the nearest points of both faces come together.

#include <Eigen/Core>
#include <cstddef>
#include <vector>

#include "trammel/geometry/normals.hpp"
#include "trammel/geometry/point_index.hpp"
#include "trammel/geometry/surface_index.hpp"

namespace trammel {

/// Points lie on one plane within so much of their neighbourhood's radius: well above the scanner's
/// noise at usual densities, well below a wall.
constexpr double kOnPlane = 0.12;

/// Lays a new plane through the neighbours of each uneven point: of all planes through it and two
/// neighbours the one that most neighbours lie on (RANSAC [Fischler & Bolles 1981], every pair
/// tried), then by principal components through those. Points without such a plane (fewer than
/// seven of twelve on it) keep what they had.
/// @param points_mm  3 × #P, those that the index was built on
void refit_uneven(const Eigen::Matrix3Xd& points_mm, const PointIndex& index,
                  EstimatedNormals& estimated);

/// Whether the material of a wall lies behind the points of a patch (+1) or before them (−1), told
/// by the wall's other face, which was scanned as well, one thickness of the design away; 0 where
/// it was not, or where both sides look like that. Unlike a vote of the design it holds for a sheet
/// pushed through its whole thickness.
/// @param normals     3 × #P unit, one side within the patch
/// @param spacing_mm  of the points
[[nodiscard]] int side_by_layers(const std::vector<Eigen::Index>& patch,
                                 const Eigen::Matrix3Xd& points_mm, const Eigen::Matrix3Xd& normals,
                                 const PointIndex& index, const SurfaceIndex& design,
                                 double spacing_mm);

}  // namespace trammel
