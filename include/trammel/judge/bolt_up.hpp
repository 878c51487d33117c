#pragma once

/// Will it bolt up: the bolts of a group, all at once, through the holes as measured.

#include <string>
#include <vector>

#include "trammel/judge/mating_pattern.hpp"
#include "trammel/model/plan.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// Whether the group's answer may take the place of the hole's own at its nominal place: the plan
/// names a group or has a mate for the one without a name, and every bolted hole is in it. Of two
/// groups each may need another shift of the one part.
[[nodiscard]] bool bolts_up_in_group(const Plan& plan, const HoleCheck& hole);

/// One answer for each named group, and for all parallel holes without a group, where there are two
/// bolted holes or more; in the plan's order. Bolts stand where the design has the holes, like
/// threads or studs of what the part is bolted to, or where the scan of the group's mate has them;
/// the part may be shifted and turned in the plane across the holes (bolt_pattern.hpp), from its
/// place in the design or, on a mate, from any (mating_pattern.hpp).
/// - pass: the play left is proven, by `decide`, to be there;
/// - fail: it is proven to lack; the fewest holes to open, to what width (with U, up to the next
///   tenth) and in which direction, stand beside it;
/// - undecided: too near, a hole that was not measured, or holes that are not parallel (to 2°); of
///   a mate also one that does not tell its pattern, or from which side it is seen where that
///   matters.
///
/// U of a bolt of a mate, √((2 s_center)² + U_mate²), is added in squares to the hole's own; where
/// it leans from its face, the part's thickness times that is taken from the play.
/// @param holes  results of the plan's holes, in its order
/// @param mates  those of the plan that were measured
[[nodiscard]] std::vector<BoltUp> bolt_up(const Plan& plan, const std::vector<HoleResult>& holes,
                                          const std::vector<SeatedMate>& mates = {});

/// Bolts go through a hole that is drawn as ISO 273 has it; a narrower one may be meant. One
/// sentence each.
[[nodiscard]] std::vector<std::string> notes_on_bolts(const Plan& plan,
                                                      const std::vector<HoleResult>& holes);

}  // namespace trammel
