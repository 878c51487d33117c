#include "trammel/judge/other_holes.hpp"

#include <algorithm>
#include <cmath>

#include "conclude.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/judge/judge_hole.hpp"

namespace trammel {
namespace {

using Eigen::Vector3d;

constexpr double kSameHole = 1e-3;  // of its radius

bool is_planned(const DesignHole& hole, const std::vector<HoleResult>& planned) {
  return std::any_of(planned.begin(), planned.end(), [&](const HoleResult& one) {
    if (one.kind != RoundKind::Hole) return false;
    const Vector3d arm = one.nominal_mm - hole.center_mm;
    const double level = hole.axis.dot(arm), slack = kSameHole * hole.radius_mm;
    return std::abs(one.nominal_diameter_mm - 2.0 * hole.radius_mm) <= slack &&
           (arm - level * hole.axis).norm() <= slack && level >= hole.low_mm - slack &&
           level <= hole.high_mm + slack;
  });
}

OtherHole listed(const DesignHole& hole, const OtherHolesEvidence& e) {
  OtherHole out;
  out.center_mm = hole.middle_mm();
  out.axis = hole.axis;
  out.drawn_diameter_mm = 2.0 * hole.radius_mm;
  out.depth_mm = hole.depth_mm();
  if (!e.pose_is_sure) {
    out.reason = "the scan's place on the design is not sure";
    return out;
  }
  const auto [measured, closed, ends] = look_at(hole, e.design, e.scan);
  if (closed || ends) {
    out.state = HoleState::Closed;
    out.reason = conclusions::kAcross;
    return out;
  }
  out.reason = measured.reason;
  if (measured.status != HoleStatus::Measured) return out;
  out.reason = measured.rims == 1 ? "by one of its rims alone" : "";
  out.state = HoleState::Measured;
  out.diameter_mm = measured.diameter_mm;
  out.offset_mm = measured.offset_mm;
  out.standard_error_mm = measured.center_error_mm;
  out.points = measured.points;
  return out;
}

}  // namespace

std::vector<OtherHole> other_holes(const OtherHolesEvidence& e) {
  std::vector<const DesignHole*> unnamed;
  for (const DesignHole& hole : e.holes)
    if (!is_planned(hole, e.planned)) unnamed.push_back(&hole);
  std::vector<OtherHole> out(unnamed.size());
  for_each_index(
      unnamed.size(), [&](std::size_t i) { out[i] = listed(*unnamed[i], e); }, 1);
  return out;
}

}  // namespace trammel
