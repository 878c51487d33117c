#include "trammel/judge/feature_walls.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "trammel/geometry/fit_cylinder.hpp"
#include "trammel/geometry/fit_slot.hpp"
#include "trammel/judge/hole_advice.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

constexpr double kBesideWall_mm = 2.0;  // from the middle of a region to the wall it is part of
constexpr double kFacetOfWidth = 0.05;  // how far facets of an end lie inside the round wall
constexpr double kEndOff = 0.5;         // of its length, that the end of a missing pin is off
constexpr double kAcross = 0.5;         // cosine: a face that looks into the slot, not along it

/// A hole, pin or slot that is out or was not made, as it is drawn.
struct DrawnFeature {
  SlotShape shape;  ///< about its middle at mid depth
  double depth_mm = 0.0, off_mm = 0.0;
  bool is_absent = false;

  [[nodiscard]] double beyond_mouth_mm(const Vector3d& at_mm) const {
    return std::abs(shape.axis.dot(at_mm - shape.center_mm)) - 0.5 * depth_mm;
  }
  [[nodiscard]] bool is_beside(const Vector3d& at_mm) const {
    return beyond_mouth_mm(at_mm) <= kBesideWall_mm &&
           distance_to(shape, at_mm) <= off_mm + kBesideWall_mm;
  }
  /// Of a box about all of it and its surroundings.
  [[nodiscard]] double reach_mm() const {
    const double around = shape.radius_mm + off_mm + kBesideWall_mm;
    return std::hypot(around, shape.half_straight_mm + around, 0.5 * depth_mm + kBesideWall_mm);
  }
};

DrawnFeature drawn_round(const Vector3d& middle_mm, const Vector3d& axis, double diameter_mm,
                         double depth_mm) {
  return {{middle_mm, axis, across(axis).u, 0.0, 0.5 * diameter_mm}, depth_mm, 0.0, true};
}

DrawnFeature drawn(const HoleResult& hole) {
  const Vector3d middle = hole.nominal_mm + (hole.above_mm - 0.5 * hole.depth_mm) * hole.axis;
  DrawnFeature out = drawn_round(middle, hole.axis, hole.nominal_diameter_mm, hole.depth_mm);
  out.off_mm = hole.offset_mm ? hole.offset_mm->norm() : 0.0;
  out.is_absent = is_absent(hole.state);
  return out;
}

DrawnFeature drawn(const SlotResult& slot) {
  return {{slot.nominal_mm, slot.axis, slot.along,
           0.5 * (slot.nominal_length_mm - slot.nominal_width_mm), 0.5 * slot.nominal_width_mm},
          slot.depth_mm,
          slot.position_mm.value_or(0.0),
          is_absent(slot.state)};
}

/// Those whose line tells of their wall.
std::vector<DrawnFeature> told_features(const Verdict& verdict) {
  std::vector<DrawnFeature> out;
  for (const HoleResult& hole : verdict.holes)
    if (hole.nominal_diameter_mm > 0.0 &&
        (hole.outcome == Outcome::Fail || is_absent(hole.state) || is_not_through(hole)))
      out.push_back(drawn(hole));
  for (const SlotResult& slot : verdict.slots)
    if (slot.nominal_length_mm > 0.0 && (slot.outcome == Outcome::Fail || is_absent(slot.state)))
      out.push_back(drawn(slot));
  for (const OtherHole& hole : verdict.other_holes)
    if (is_absent(hole.state))
      out.push_back(drawn_round(hole.center_mm, hole.axis, hole.drawn_diameter_mm, hole.depth_mm));
  for (const SlotResult& slot : verdict.other_slots)
    if (is_absent(slot.state)) out.push_back(drawn(slot));
  return out;
}

bool is_face_of(const Flaw& flaw, const DrawnFeature& feature) {
  const double facet_mm = kFacetOfWidth * 2.0 * feature.shape.radius_mm;
  return std::abs(flaw.normal.dot(feature.shape.axis)) < kAcross &&
         feature.beyond_mouth_mm(flaw.center_mm) <= facet_mm &&
         std::abs(distance_to(feature.shape, flaw.center_mm)) <= facet_mm;
}

/// What is left of a feature that was not made: its mouth is filled, its end is missing.
bool is_lack_of(const Flaw& flaw, const DrawnFeature& feature) {
  if (!feature.is_absent || !feature.is_beside(flaw.center_mm)) return false;
  if (flaw.kind == FlawKind::Dent || flaw.kind == FlawKind::Blob) return true;
  return flaw.kind == FlawKind::Offset && std::abs(flaw.figure_mm) > kEndOff * feature.depth_mm;
}

}  // namespace

bool is_told_by_feature(const Region& region, const Verdict& verdict) {
  const auto told = told_features(verdict);
  return std::any_of(told.begin(), told.end(), [&](const DrawnFeature& feature) {
    return feature.is_beside(region.center_mm) && 0.5 * region.size_mm.norm() <= feature.reach_mm();
  });
}

bool is_told_by_feature(const Flaw& flaw, const Verdict& verdict) {
  if (flaw.normal.isZero()) return false;  // of the whole part
  const auto told = told_features(verdict);
  return std::any_of(told.begin(), told.end(), [&](const DrawnFeature& feature) {
    return is_face_of(flaw, feature) || is_lack_of(flaw, feature);
  });
}

}  // namespace trammel
