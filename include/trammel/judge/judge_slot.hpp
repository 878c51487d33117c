#pragma once

/// The slots of the plan and the others of the design: measured in the scan, judged or listed.

#include <vector>

#include "trammel/geometry/find_slots.hpp"
#include "trammel/judge/closed_opening.hpp"
#include "trammel/model/alignment.hpp"
#include "trammel/model/mesh.hpp"
#include "trammel/model/plan.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// What the measurement of slots rests on; references live as long as the call.
struct SlotEvidence {
  const Mesh& design;
  const std::vector<DesignSlot>& slots;  ///< all of the design
  const Alignment& alignment;
  OpeningEvidence scan;
  double expanded_uncertainty_mm = 0.0;  ///< U of one reading, k = 2
};

/// Expanded uncertainties (k = 2) of what is measured of a slot, as of a hole (judge_hole.hpp):
///   U_position = 2 · √((2 s_end)² + (2 s_alignment)² + U²)
///   U_width    = √((2 s_width)² + (2 U)²), U_length likewise
struct SlotUncertainty {
  double position_mm = 0.0, width_mm = 0.0, length_mm = 0.0;
};
[[nodiscard]] SlotUncertainty slot_uncertainty(const SlotErrors& errors, double alignment_error_mm,
                                               double expanded_uncertainty_mm);

/// Judges what the plan asks of the slot, each by `decide`:
/// - `position`: the diameter of the zone, in the plane across the axis, that the middle of the
/// slot
///   and both ends of its middle line at the drawn length lie in (ISO 1101, of points; at the worse
///   end of the wall where the slot leans). A slot that is turned is off place by it; one that is
///   too long is not;
/// - `width`: the least-squares width against its limits, and the narrowest against the lower one;
/// - `length`: the overall length of the least-squares slot.
/// One that a surface lies across was not made where it cannot be measured: it fails, whatever is
/// asked; where it can, it may not go through: undecided. Listed when the plan asks nothing
/// of it. Undecided, with its reason, when the slot is not in the design or not seen, or the scan's
/// place on the design is not sure.
[[nodiscard]] SlotResult judge_slot(const SlotCheck& check, const SlotEvidence& evidence);

/// The slots of the design that the plan does not name, in the design's order: listed.
/// @param planned       those of the plan: left out
/// @param pose_is_sure  false: no slot of the scan is known to be that of the design
[[nodiscard]] std::vector<SlotResult> other_slots(const SlotEvidence& evidence,
                                                  const std::vector<SlotResult>& planned,
                                                  bool pose_is_sure);

}  // namespace trammel
