#pragma once

/// Walls in plain view that the scan has no point on, on either face.

#include <Eigen/Core>
#include <vector>

#include "trammel/geometry/surface_cells.hpp"
#include "trammel/geometry/surface_index.hpp"
#include "trammel/judge/surface_out_of_place.hpp"
#include "trammel/model/deviations.hpp"
#include "trammel/model/surface_map.hpp"

namespace trammel {

/// How large an empty disc counts, radii.
struct BareDisc {
  double least_mm;  ///< of the smallest patch that counts
  double near_mm;   ///< what is near: twice as far off the density is taken; `least_mm` at least
  double sure_mm;   ///< enough on its own; `near_mm` at least
};

/// What is near: four times the scan's spacing. What is sure: five times. Of points thrown at
/// random a disc of that radius holds 17 on average (their nearest neighbours lie 0.47/√density
/// apart in the median); where one face of a wall was not seen at all, and 10,000 points lie on
/// others like it, the other leaves one such disc in a hundred scans. Four spacings would in each.
[[nodiscard]] BareDisc bare_disc(double least_area_mm2, double spacing_mm);

/// Places (on the design's surface, one a connected patch) where there may be a hole that is not
/// drawn: neither face of the wall has a point of the part within the disc, though one lies in
/// plain view and the other in plain view or, as beside a bend, in view from some side at 45°, and
/// though nothing stands there that hides them. A scanner that saw all round leaves no such place
/// by chance. Places in holes, gaps and grooves, where a scanner cannot see well, are left to
/// `unseen_walls`, and so is what a clamp covers.
///
/// It is a disc where
/// - the points about it, on the two faces together, lie so densely that points thrown at random
///   would leave one such disc in a hundred scans of as many: in that many places is looked; or
/// - a hole left its own wall behind, three points or more in the material around one face's, and
///   the disc is little more than half the near one. Its chance is one in 3,000 places (8 points
///   expected on the two faces), and that of such points on a good part far less; or
/// - it is sure on its own, and neither face was seen at its middle, where there may be no points
///   to tell a density by.
/// Whether cells were seen is not asked of the first two: a cell in a small hole borrows its
/// reading from the rim.
/// @param points_mm  3 × #P scan points in the design frame
[[nodiscard]] std::vector<Eigen::Vector3d> bare_walls(
    const SurfaceIndex& design, const CellTree& tree, const CellReadings& readings,
    const Deviations& deviations, const Eigen::Matrix3Xd& points_mm, const InMaterial& material,
    const BareDisc& disc);

}  // namespace trammel
