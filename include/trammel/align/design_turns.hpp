#pragma once

/// The turns that lay a symmetric design on itself: all poses that no scan of it can tell apart.

#include <Eigen/Geometry>
#include <vector>

#include "trammel/align/rivals.hpp"

namespace trammel {

struct DesignTurns {
  std::vector<Eigen::Isometry3d> turns;  ///< of the design, without the one that leaves it as it is
  bool complete = false;                 ///< no turn that lays the design on itself is missing
  /// Turns a degree apart that lay at least 92 % of it on itself, and are none of these: a round
  /// part with two small holes, turned by anything. Only a scan can tell them from the right pose.
  std::vector<Eigen::Isometry3d> nearly;
};

/// Turns that lay at least 97 % of the design's surface on itself, within 1/500 of the diagonal and
/// facing the same way.
///
/// A turn that lays a body on itself keeps the centroid of its surface and its second moments
/// about it. Where the three moments differ it can only be a half turn about one of the principal
/// axes. Where two are alike (to 15 %) it is a turn about the third axis, or a half turn across it:
/// both are tried degree by degree, and the best of each hill are refined on the design itself.
/// Of a round design (CoarseDesign::round) it is one half turn across the axis, which stands for
/// all. Not complete where all three are alike (a cube), where the turns found that lay 99 % of it
/// on itself do not make a group (two of them, one after the other, must be a third), and where
/// there are more than 23.
[[nodiscard]] DesignTurns turns_onto_itself(const SurfaceIndex& design, const CoarseDesign& coarse);

/// Sets every turn of the design against the winner of a contest that others equal: what fits as
/// well is listed with them, and each of them is fitted until it rests, as long as all may be
/// known.
/// @return true when each equal is the winner after a turn of the design, no turn is missing, all
///         came to rest, and the scan refutes what nearly lays the design on itself
bool complete_equals(Contest& contest, const FineStage& stage);

}  // namespace trammel
