#pragma once

/// The holes of the design that the plan does not name: listed, not judged.

#include <vector>

#include "trammel/geometry/find_hole.hpp"
#include "trammel/judge/closed_opening.hpp"
#include "trammel/model/mesh.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// What the list rests on; references live as long as the call.
struct OtherHolesEvidence {
  const Mesh& design;
  const std::vector<DesignHole>& holes;    ///< all of the design
  const std::vector<HoleResult>& planned;  ///< those of the plan: left out of the list
  OpeningEvidence scan;
  bool pose_is_sure = true;  ///< false: no hole of the scan is known to be that of the design
};

/// Each hole measured as those of the plan are, by its wall (geometry/measure_hole.hpp) or else its
/// rims (geometry/measure_rim.hpp; of one alone, `reason` says so), in the order of `holes`.
///
/// Closed where a scanned surface lies across it (judge/closed_opening.hpp). Anything else that was
/// not measured is unseen, with its reason.
[[nodiscard]] std::vector<OtherHole> other_holes(const OtherHolesEvidence& evidence);

}  // namespace trammel
