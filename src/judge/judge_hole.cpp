#include "trammel/judge/judge_hole.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "conclude.hpp"
#include "trammel/geometry/find_hole.hpp"
#include "trammel/geometry/find_pin.hpp"
#include "trammel/geometry/measure_rim.hpp"
#include "trammel/judge/decide.hpp"

namespace trammel {
namespace {

using conclusions::against_limit;
using conclusions::conclude;
using conclusions::doubt_of_place;
using conclusions::note_conformity;
using conclusions::undecided;

constexpr double kAround = 3.5;  // radii: as far as a wall and its rims are looked for

void judge_position(HoleResult& result, double allowed_mm, double uncertainty_mm) {
  note_conformity(result, *result.position_mm, {-HUGE_VAL, allowed_mm}, uncertainty_mm);
  const Outcome outcome = decide_at_most(*result.position_mm, allowed_mm, uncertainty_mm);
  conclude(result, outcome,
           against_limit("position", *result.position_mm, "more than", allowed_mm, uncertainty_mm,
                         outcome));
}

/// The bolt at the nominal place: the hole reaches over it by its width less twice its offset.
void judge_bolt_in_place(HoleResult& result, double bolt_mm, double narrowest_mm,
                         const HoleUncertainty& uncertainty) {
  const double free_mm = narrowest_mm - *result.position_mm;
  const double u = std::hypot(uncertainty.diameter_mm, uncertainty.position_mm);
  if (decide_at_least(free_mm, bolt_mm, u) == Outcome::Pass) {
    conclude(result, Outcome::Pass, {});
    return;
  }
  conclude(result, Outcome::Undecided,
           "a bolt of " + conclusions::mm(bolt_mm) + " is not sure to pass at the nominal place (" +
               conclusions::mm(free_mm) + " free, uncertainty " + conclusions::mm(u) +
               "); a shift of the whole part may still let it in");
}

void judge_bolt(HoleResult& result, double bolt_mm, double narrowest_mm, bool place_is_judged,
                const HoleUncertainty& uncertainty) {
  const Outcome wide_enough = decide_at_least(narrowest_mm, bolt_mm, uncertainty.diameter_mm);
  if (wide_enough != Outcome::Pass) {
    conclude(result, wide_enough,
             against_limit("width", narrowest_mm, "less than the bolt's", bolt_mm,
                           uncertainty.diameter_mm, wide_enough));
  } else if (place_is_judged) {
    conclude(result, Outcome::Pass, {});
  } else {
    judge_bolt_in_place(result, bolt_mm, narrowest_mm, uncertainty);
  }
}

void fill_measured(HoleResult& result, const MeasuredHole& measured, double expanded_mm) {
  const double offset = measured.offset_mm.norm();
  result.state = HoleState::Measured;
  result.position_mm = 2.0 * (measured.tilted ? measured.worst_offset_mm : offset);
  result.offset_mm = measured.offset_mm;
  result.diameter_mm = measured.diameter_mm;
  result.standard_error_mm = measured.center_error_mm;
  result.points = measured.points;
  if (measured.tilted) {
    const double along = std::abs(measured.axis.dot(result.axis));
    const double tilt_mm = result.depth_mm * std::sqrt(std::max(0.0, 1.0 - along * along)) / along;
    if (tilt_mm > expanded_mm) result.tilt_mm = tilt_mm;
  }
  const double leans = measured.tilted ? measured.worst_offset_mm - offset : 0.0;
  result.rims = measured.rims;
  // What lies behind a single rim may be in a bolt's way.
  if (result.kind == RoundKind::Hole && measured.rims != 1)
    result.free_width_mm = measured.narrowest_mm - 2.0 * std::max(0.0, leans);
}

/// Every two-point size must lie within (ISO 14405-1), so the one that is nearest to its limit or
/// farthest beyond it is judged.
void judge_diameter(HoleResult& result, const MeasuredHole& measured, const Limits& limits,
                    double uncertainty_mm) {
  const bool is_round = measured.least_size_mm == measured.greatest_size_mm;
  const bool at_least =
      measured.least_size_mm - limits.low_mm < limits.high_mm - measured.greatest_size_mm;
  const double size_mm = at_least ? measured.least_size_mm : measured.greatest_size_mm;
  const char* what = is_round ? "diameter" : at_least ? "narrowest diameter" : "widest diameter";
  conclusions::judge_size(result, what, size_mm, limits, uncertainty_mm);
  if (is_round || result.reasons.empty()) return;
  result.reasons.back() += " (it is out of round: " + conclusions::mm(measured.least_size_mm) +
                           " to " + conclusions::mm(measured.greatest_size_mm) + ")";
}

HoleResult not_made(HoleResult result) {
  const bool is_pin = result.kind == RoundKind::Pin;
  result.state = is_pin ? HoleState::Missing : HoleState::Closed;
  result.outcome = Outcome::Fail;
  result.reasons.emplace_back(is_pin ? "a scanned surface lies where it should stand"
                                     : conclusions::kAcross);
  return result;
}

/// A lid over the place where it is drawn is what was left standing beside it.
bool may_end(const DesignHole& hole, const MeasuredHole& measured, const OpeningEvidence& scan) {
  if (hole.kind != RoundKind::Hole || measured.status != HoleStatus::Measured) return false;
  Opening found = opening_of(hole);
  found.shape.center_mm += measured.offset_mm;
  found.shape.radius_mm = 0.5 * measured.diameter_mm;
  return is_closed_where_found(opening_of(hole), found, scan);
}

}  // namespace

HoleUncertainty hole_uncertainty(double center_error_mm, double diameter_error_mm,
                                 double alignment_error_mm, double expanded_uncertainty_mm) {
  const double from_fit_and_place = 2.0 * std::hypot(center_error_mm, alignment_error_mm);
  return {2.0 * std::hypot(from_fit_and_place, expanded_uncertainty_mm),
          std::hypot(2.0 * diameter_error_mm, 2.0 * expanded_uncertainty_mm)};
}

SeenHole look_at(const DesignHole& hole, const Mesh& design, const OpeningEvidence& scan) {
  const PointsAround near = points_around(opening_of(hole), kAround * hole.radius_mm, scan);
  MeasureHoleSettings settings;
  settings.coating_mm = scan.coating_mm;
  SeenHole out{measure_hole(near.points_mm, near.normals, hole, settings), near.closed, false};
  const bool wall_unseen =
      out.measured.status == HoleStatus::TooFewPoints || out.measured.status == HoleStatus::Unseen;
  if (wall_unseen && hole.kind != RoundKind::Pin) {
    const std::string of_wall = out.measured.reason;
    out.measured = measure_by_rims(design, near.points_mm, near.normals, hole,
                                   {MeasureRimSettings{}.least_cover_deg, scan.coating_mm});
    if (out.measured.status != HoleStatus::Measured)
      out.measured.reason = of_wall + "; " + out.measured.reason;
  }
  out.may_end = may_end(hole, out.measured, scan);
  return out;
}

HoleResult judge_hole(const HoleCheck& check, const HoleEvidence& evidence) {
  HoleResult result;
  result.name = check.name;
  result.nominal_mm = check.at_mm;
  result.kind = check.kind;
  const std::string word = round_word(check.kind);
  const auto hole = check.kind == RoundKind::Pin ? find_pin(evidence.design, check.at_mm)
                                                 : find_hole(evidence.design, check.at_mm);
  if (!hole) return undecided(result, "the design has no round " + word + " near the point given");
  result.nominal_mm = hole->center_mm;
  result.axis = hole->axis;
  result.nominal_diameter_mm = 2.0 * hole->radius_mm;
  result.depth_mm = hole->depth_mm();
  result.above_mm = hole->high_mm;
  const std::string doubt = doubt_of_place(evidence.alignment, word);
  if (!doubt.empty()) return undecided(result, doubt);

  const auto [measured, closed, ends] = look_at(*hole, evidence.design, evidence.scan);
  if (measured.status != HoleStatus::Measured)
    return closed ? not_made(result) : undecided(result, measured.reason);
  fill_measured(result, measured, evidence.expanded_uncertainty_mm);

  const auto uncertainty =
      hole_uncertainty(measured.center_error_mm, measured.diameter_error_mm,
                       evidence.alignment.standard_error_mm, evidence.expanded_uncertainty_mm);
  // Where the whole scan lies does not matter to a pattern that may be shifted and turned.
  const auto in_pattern = hole_uncertainty(measured.center_error_mm, measured.diameter_error_mm,
                                           0.0, evidence.expanded_uncertainty_mm);
  result.play_uncertainty_mm = 0.5 * std::hypot(in_pattern.position_mm, in_pattern.diameter_mm);
  const bool asked = check.position_mm || check.diameter_mm || check.bolt_mm;
  result.outcome = asked ? Outcome::Pass : Outcome::Listed;
  if (check.position_mm) judge_position(result, *check.position_mm, uncertainty.position_mm);
  if (check.diameter_mm)
    judge_diameter(result, measured, *check.diameter_mm, uncertainty.diameter_mm);
  if (check.bolt_mm) {
    const bool place_is_judged = check.position_mm.has_value() || evidence.bolts_up_in_group;
    judge_bolt(result, *check.bolt_mm, measured.narrowest_mm, place_is_judged, uncertainty);
  }
  if (measured.rims == 1 && asked) {
    conclude(result, Outcome::Undecided,
             "only one of its rims was seen: scan the other side, or into it");
  }
  if (ends) {
    result.free_width_mm.reset();
    conclude(result, Outcome::Undecided, conclusions::kNotThrough);
  }
  return result;
}

}  // namespace trammel
