#pragma once

/// Thin things that rise from the part: a string of print from wall to wall, a wire, a rod.

#include <Eigen/Core>
#include <string>
#include <vector>

#include "trammel/geometry/surface_index.hpp"
#include "trammel/model/deviations.hpp"
#include "trammel/model/plan.hpp"

namespace trammel {

struct Rod {
  Eigen::Vector3d foot_mm = Eigen::Vector3d::Zero();  ///< on the design's surface
  double long_mm = 0.0;                               ///< of what was scanned of it
  int points = 0;
};

/// What was scanned off the part, and on what.
struct RodEvidence {
  const Plan& plan;
  const SurfaceIndex& design;
  const Deviations& deviations;
  const Eigen::Matrix3Xd& points_mm;  ///< 3 × #P, design frame
  double expanded_mm;                 ///< U (k = 2) of one reading
  double spacing_mm;                  ///< of the scan
  double point_mm2;                   ///< surface that a scan point stands for
  double strays_per_mm3;              ///< 0 or more, of strays.hpp
};

/// The foot of a thin thing holds too few points to be a patch, but what rises from it is all in
/// line, where a bench, a clamp and strays are not. Points off the part (Beside, TooFar or Stray,
/// farther outside than the band and U) are of it where three quarters of those about them lie no
/// farther from one line than a disc of the least area is wide; they are joined, and are a rod
/// where
/// - they are eight or more, and cover the least area by what a scan point stands for, and where
///   strays alone would be as many about a point, they are denser than these (strays.hpp);
/// - they reach from the part to 3 mm from it or farther, over 5 mm or more;
/// - the gap to the part is no wider than three of their own steps (of points as they fall, one gap
///   in twenty is); and
/// - they meet a face in its middle, 1 mm or more from where it ends: the bench begins at edges,
///   and so do streaks that a scanner draws into the air.
/// Only within the design's box and the reach about it.
/// @return most points first
[[nodiscard]] std::vector<Rod> rods(const RodEvidence& evidence);

/// Why they keep a part from passing, two at most.
[[nodiscard]] std::vector<std::string> why_rods(const std::vector<Rod>& found);

}  // namespace trammel
