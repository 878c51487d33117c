#include "trammel/judge/slot_walls.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/geometry/fit_slot.hpp"

namespace trammel {
namespace {

constexpr double kBesideWall_mm = 2.0;  // from the middle of a region to the wall it is part of
constexpr double kFacetOfWidth = 0.05;  // how far facets of an end lie inside the round wall
constexpr double kAcross = 0.5;         // cosine: a face that looks into the slot, not along it

bool tells(const SlotResult& slot) {
  return slot.nominal_length_mm > 0.0 &&
         (slot.outcome == Outcome::Fail || slot.state == HoleState::Closed);
}

SlotShape drawn(const SlotResult& slot) {
  return {slot.nominal_mm, slot.axis, slot.along,
          0.5 * (slot.nominal_length_mm - slot.nominal_width_mm), 0.5 * slot.nominal_width_mm};
}

double beyond_mouth_mm(const SlotResult& slot, const Eigen::Vector3d& at_mm) {
  return std::abs(slot.axis.dot(at_mm - slot.nominal_mm)) - 0.5 * slot.depth_mm;
}

}  // namespace

bool is_told_by_slot(const Region& region, const std::vector<SlotResult>& slots) {
  return std::any_of(slots.begin(), slots.end(), [&](const SlotResult& slot) {
    return tells(slot) && beyond_mouth_mm(slot, region.center_mm) <= kBesideWall_mm &&
           distance_to(drawn(slot), region.center_mm) <=
               slot.position_mm.value_or(0.0) + kBesideWall_mm;
  });
}

bool is_told_by_slot(const Flaw& flaw, const std::vector<SlotResult>& slots) {
  if (flaw.normal.isZero()) return false;  // of the whole part
  return std::any_of(slots.begin(), slots.end(), [&](const SlotResult& slot) {
    const double facet_mm = kFacetOfWidth * slot.nominal_width_mm;
    return tells(slot) && std::abs(flaw.normal.dot(slot.axis)) < kAcross &&
           beyond_mouth_mm(slot, flaw.center_mm) <= facet_mm &&
           std::abs(distance_to(drawn(slot), flaw.center_mm)) <= facet_mm;
  });
}

}  // namespace trammel
