#pragma once

/// Walls in plain view that the scan has no point on, on either face.

#include <Eigen/Core>
#include <cstdint>
#include <vector>

#include "trammel/geometry/surface_index.hpp"
#include "trammel/judge/coverage.hpp"
#include "trammel/model/deviations.hpp"
#include "trammel/model/surface_map.hpp"

namespace trammel {

/// Places (on the design's surface, one a connected patch) where there may be a hole that is not
/// drawn: neither face of the wall has a point of the part within the radius, though both lie in
/// plain view, and though nothing stands there that hides them. A scanner that saw all round leaves
/// no such place by chance: see `bare_radius_mm`. Places in holes, gaps and corners, where a
/// scanner cannot see well, are left to `unseen_walls`, and so is what a clamp covers.
///
/// A smaller hole leaves its own wall behind: where three points or more lie in the material around
/// it, a disc of little more than half that radius is enough. Its chance is one in 3,000 places
/// (8 points expected on the two faces together), and that of such points on a good part far less.
/// @param unseen     as `unseen_on_both_faces` finds them
/// @param points_mm  3 × #P scan points in the design frame
/// @param inside     #P, as `points_inside` finds them; empty: none
/// @param radius_mm  see `bare_radius_mm`
[[nodiscard]] std::vector<Eigen::Vector3d> bare_walls(
    const SurfaceIndex& design, const SurfaceCells& cells, const std::vector<WallCells>& unseen,
    const Deviations& deviations, const Eigen::Matrix3Xd& points_mm,
    const std::vector<std::uint8_t>& inside, double radius_mm);

/// The radius of the smallest patch that counts, or four times the scan's spacing where that is
/// more. Of points thrown at random a disc of that radius holds 4π on average (their nearest
/// neighbours lie 0.5/√density apart), and is empty once in e^(4π) = 290,000 places: on both faces
/// of a wall at once, never.
[[nodiscard]] double bare_radius_mm(double least_area_mm2, double spacing_mm);

}  // namespace trammel
