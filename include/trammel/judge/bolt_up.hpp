#pragma once

/// Will it bolt up: the bolts of a group, all at once, through the holes as measured.

#include <vector>

#include "trammel/model/plan.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// Whether the group's answer may take the place of the hole's own at its nominal place: the plan
/// names a group, and every bolted hole is in it. Of two groups each may need another shift of the
/// one part.
[[nodiscard]] bool bolts_up_in_group(const Plan& plan, const HoleCheck& hole);

/// One answer for each named group, and for all parallel holes without a group, where there are two
/// bolted holes or more; in the plan's order. Bolts stand where the design has the holes, like
/// threads or studs of what the part is bolted to; the part may be shifted and turned in the plane
/// across the holes (bolt_pattern.hpp).
/// - pass: the play left is proven, by `decide`, to be there;
/// - fail: it is proven to lack; the fewest holes to open, to what width (with U, up to the next
///   tenth) and in which direction, stand beside it;
/// - undecided: too near, a hole that was not measured, or holes that are not parallel (to 2°).
/// @param holes  results of the plan's holes, in its order
[[nodiscard]] std::vector<BoltUp> bolt_up(const Plan& plan, const std::vector<HoleResult>& holes);

}  // namespace trammel
