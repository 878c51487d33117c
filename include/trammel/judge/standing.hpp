#pragma once

/// Surfaces that were set aside as no part of the design, and yet stand on it.

#include <Eigen/Core>
#include <vector>

#include "trammel/geometry/surface_cells.hpp"
#include "trammel/model/deviations.hpp"
#include "trammel/model/surface_map.hpp"

namespace trammel {

/// Straight above a face: within 8° of its normal.
constexpr double kStraightAbove = 0.99;
/// Nearer to a clamp than this a thing is a piece of it.
constexpr double kSameClamp_mm = 8.0;

/// Something that rises from the part: a boss or rib too many, a tall blob of weld, or a clamp.
struct StandingThing {
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();  ///< on the design's surface
  double height_mm = 0.0;  ///< of what was scanned of it within the reach
  double area_mm2 = 0.0;   ///< of the design's surface at its foot, hidden cells among it
};

/// Cells that scanned surface of no design face (Beside) rises from, straight above them, together
/// with the unseen cells between; largest first, only those of at least `least_area_mm2`. Left out:
/// - what holds the part from both sides, as a clamp does;
/// - what lies level with the edge of an unseen face, as the bench does around the part's foot.
/// @param design     the mesh that was cut into the tree
/// @param points_mm  3 × #P scan points in the design frame
/// @param least_height_mm  lower ones are noise of the surface itself
[[nodiscard]] std::vector<StandingThing> things_standing(const Mesh& design, const CellTree& tree,
                                                         const CellReadings& readings,
                                                         const Deviations& deviations,
                                                         const Eigen::Matrix3Xd& points_mm,
                                                         double least_height_mm,
                                                         double least_area_mm2);

}  // namespace trammel
