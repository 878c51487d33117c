#include "trammel/judge/judge_slot.hpp"

#include <algorithm>
#include <cmath>
#include <string>
#include <utility>

#include "conclude.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/geometry/measure_slot.hpp"
#include "trammel/geometry/measure_slot_rim.hpp"

namespace trammel {
namespace {

using conclusions::against_limit;
using conclusions::conclude;

constexpr double kAroundSlot = 4.0;  // radii from the middle line: as far as its wall is looked for

SlotResult drawn_slot(const DesignSlot& slot) {
  SlotResult out;
  out.nominal_mm = slot.shape.center_mm;
  out.axis = slot.shape.axis;
  out.along = slot.shape.along;
  out.nominal_width_mm = slot.shape.width_mm();
  out.nominal_length_mm = slot.shape.length_mm();
  out.depth_mm = slot.depth_mm();
  out.is_through = slot.is_through();
  return out;
}

void fill_measured_slot(SlotResult& out, const MeasuredSlot& measured) {
  out.state = HoleState::Measured;
  out.position_mm = 2.0 * measured.worst_offset_mm;
  out.offset_mm = measured.offset_mm;
  out.turn_rad = measured.turn_rad;
  out.width_mm = measured.shape.width_mm();
  out.length_mm = measured.shape.length_mm();
  out.standard_error_mm = measured.errors.center_mm;
  out.width_error_mm = measured.errors.width_mm;
  out.length_error_mm = measured.errors.length_mm;
  out.points = measured.points;
  out.rims = measured.rims;
}

/// By its wall, or else its rims; why not, where neither was seen.
MeasuredSlot measured_in(const PointsAround& near, const DesignSlot& slot, const SlotEvidence& e) {
  MeasureSlotSettings settings;
  settings.coating_mm = e.scan.coating_mm;
  MeasuredSlot out = measure_slot(near.points_mm, near.normals, slot, settings);
  if (out.status != SlotStatus::TooFewPoints && out.status != SlotStatus::Unseen) return out;
  const std::string of_wall = out.reason;
  MeasureSlotRimSettings rims;
  rims.coating_mm = e.scan.coating_mm;
  out = measure_slot_by_rims(e.design, near.points_mm, near.normals, slot, rims);
  if (out.status != SlotStatus::Measured) out.reason = of_wall + "; " + out.reason;
  return out;
}

/// What the scan shows of a slot.
struct SeenSlot {
  SlotResult result;  ///< measured or closed, or why neither is known
  MeasuredSlot measured;
  bool closed = false;  ///< a surface lies across it
};

SeenSlot look_at(const DesignSlot& slot, const SlotEvidence& e) {
  const PointsAround near = points_around({slot.shape, slot.low_mm, slot.high_mm},
                                          kAroundSlot * slot.shape.radius_mm, e.scan);
  SeenSlot out{drawn_slot(slot), measured_in(near, slot, e), near.closed};
  if (out.measured.status == SlotStatus::Measured) {
    fill_measured_slot(out.result, out.measured);
  } else {
    if (out.closed) out.result.state = HoleState::Closed;
    out.result.reasons.push_back(out.closed ? conclusions::kAcross : out.measured.reason);
  }
  return out;
}

/// Listed; cut part of the way it is closed as well.
SlotResult listed_slot(const DesignSlot& slot, const SlotEvidence& e, bool pose_is_sure) {
  SeenSlot seen;
  if (pose_is_sure) {
    seen = look_at(slot, e);
    if (seen.closed && seen.result.state == HoleState::Measured) {
      seen.result.state = HoleState::Closed;
      seen.result.reasons.emplace_back(conclusions::kNotThrough);
    }
  } else {
    seen.result = drawn_slot(slot);
    seen.result.reasons.emplace_back("the scan's place on the design is not sure");
  }
  if (seen.measured.rims == 1) seen.result.reasons.emplace_back("by one of its rims alone");
  seen.result.outcome = Outcome::Listed;
  return std::move(seen.result);
}

void judge_slot_position(SlotResult& out, double allowed_mm, double uncertainty_mm) {
  conclusions::note_conformity(out, *out.position_mm, {-HUGE_VAL, allowed_mm}, uncertainty_mm);
  const Outcome outcome = decide_at_most(*out.position_mm, allowed_mm, uncertainty_mm);
  conclude(out, outcome,
           against_limit("position", *out.position_mm, "more than", allowed_mm, uncertainty_mm,
                         outcome));
}

void judge_slot_width(SlotResult& out, double narrowest_mm, const Limits& limits,
                      double uncertainty_mm) {
  conclusions::judge_size(out, "width", *out.width_mm, limits, uncertainty_mm);
  if (decide(*out.width_mm, limits.low_mm, limits.high_mm, uncertainty_mm) != Outcome::Pass) return;
  const Outcome outcome = decide_at_least(narrowest_mm, limits.low_mm, uncertainty_mm);
  conclude(out, outcome,
           against_limit("narrowest width", narrowest_mm, "less than", limits.low_mm,
                         uncertainty_mm, outcome));
}

bool is_that_of(const SlotResult& planned, const DesignSlot& slot) {
  const double same = 1e-3 * slot.shape.radius_mm;
  return (planned.nominal_mm - slot.shape.center_mm).norm() <= same &&
         std::abs(planned.nominal_length_mm - slot.shape.length_mm()) <= same;
}

}  // namespace

SlotUncertainty slot_uncertainty(const SlotErrors& errors, double alignment_error_mm,
                                 double expanded_uncertainty_mm) {
  const double of_place = 2.0 * std::hypot(errors.end_mm, alignment_error_mm);
  return {2.0 * std::hypot(of_place, expanded_uncertainty_mm),
          std::hypot(2.0 * errors.width_mm, 2.0 * expanded_uncertainty_mm),
          std::hypot(2.0 * errors.length_mm, 2.0 * expanded_uncertainty_mm)};
}

SlotResult judge_slot(const SlotCheck& check, const SlotEvidence& e) {
  SlotResult out;
  out.name = check.name;
  out.nominal_mm = check.at_mm;
  const auto which = nearest_slot(e.slots, check.at_mm);
  if (!which) return conclusions::undecided(out, "the design has no slot near the point given");
  const std::string doubt = conclusions::doubt_of_place(e.alignment, "slot");
  if (!doubt.empty()) {
    out = drawn_slot(e.slots[*which]);
    out.name = check.name;
    return conclusions::undecided(out, doubt);
  }
  auto [seen, measured, closed] = look_at(e.slots[*which], e);
  out = std::move(seen);
  out.name = check.name;
  if (out.state == HoleState::Closed) out.outcome = Outcome::Fail;
  if (out.state != HoleState::Measured) return out;  // with its reason
  const SlotUncertainty uncertainty =
      slot_uncertainty(measured.errors, e.alignment.standard_error_mm, e.expanded_uncertainty_mm);
  const bool asked = check.position_mm || check.width_mm || check.length_mm;
  out.outcome = asked ? Outcome::Pass : Outcome::Listed;
  if (check.position_mm) judge_slot_position(out, *check.position_mm, uncertainty.position_mm);
  if (check.width_mm)
    judge_slot_width(out, measured.narrowest_mm, *check.width_mm, uncertainty.width_mm);
  if (check.length_mm)
    conclusions::judge_size(out, "length", *out.length_mm, *check.length_mm, uncertainty.length_mm);
  if (measured.rims == 1 && asked) {
    conclude(out, Outcome::Undecided,
             "only one of its rims was seen: scan the other side, or into it");
  }
  if (closed) conclude(out, Outcome::Undecided, conclusions::kNotThrough);
  return out;
}

std::vector<SlotResult> other_slots(const SlotEvidence& e, const std::vector<SlotResult>& planned,
                                    bool pose_is_sure) {
  std::vector<const DesignSlot*> unnamed;
  for (const DesignSlot& slot : e.slots) {
    const bool named = std::any_of(planned.begin(), planned.end(),
                                   [&](const SlotResult& one) { return is_that_of(one, slot); });
    if (!named) unnamed.push_back(&slot);
  }
  std::vector<SlotResult> out(unnamed.size());
  for_each_index(
      unnamed.size(), [&](std::size_t i) { out[i] = listed_slot(*unnamed[i], e, pose_is_sure); },
      1);
  return out;
}

}  // namespace trammel
