#pragma once

/// The holes of the design that the plan does not name: listed, not judged.

#include <Eigen/Core>
#include <string>
#include <vector>

#include "trammel/geometry/find_hole.hpp"
#include "trammel/model/deviations.hpp"
#include "trammel/model/mesh.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// What the list rests on; references live as long as the call.
struct OtherHolesEvidence {
  const Mesh& design;
  const std::vector<DesignHole>& holes;    ///< all of the design
  const std::vector<HoleResult>& planned;  ///< those of the plan: left out of the list
  const Eigen::Matrix3Xd& points_mm;       ///< 3 × #P scan points, design frame
  const Eigen::Matrix3Xd& normals;         ///< 3 × #P unit, out of the material
  const Deviations& deviations;            ///< one a point
  double coating_mm = 0.0;                 ///< matting spray, taken off
  double noise_mm = 0.0;                   ///< 1 σ of single readings
  double spacing_mm = 0.5;                 ///< of the scan
  bool pose_is_sure = true;  ///< false: no hole of the scan is known to be that of the design
};

/// Each hole measured as those of the plan are, by its wall (geometry/measure_hole.hpp) or else its
/// rims (geometry/measure_rim.hpp; of one alone, `reason` says so), in the order of `holes`.
///
/// Closed: scanned points that look along the hole's axis lie over 60 % of its middle (0.85 of its
/// radius): between its ends whichever way they look, level with an end only where they look out of
/// it; not those read on a surface that is drawn in there, such as a pin in a round pocket. So
/// neither the floor of a blind hole nor the bench seen through counts, a skin over the mouth and a
/// floor too many do. Anything else that was not measured is unseen, with its reason.
[[nodiscard]] std::vector<OtherHole> other_holes(const OtherHolesEvidence& evidence);

}  // namespace trammel
