#include "trammel/judge/judge.hpp"

#include <algorithm>
#include <cmath>

#include "open_places.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/judge/advice.hpp"
#include "trammel/judge/bolt_up.hpp"
#include "trammel/judge/coverage.hpp"
#include "trammel/judge/cut_outs.hpp"
#include "trammel/judge/diagnosis.hpp"
#include "trammel/judge/feature_walls.hpp"
#include "trammel/judge/hole_meant.hpp"
#include "trammel/judge/independent_readings.hpp"
#include "trammel/judge/judge_distance.hpp"
#include "trammel/judge/judge_form.hpp"
#include "trammel/judge/judge_hole.hpp"
#include "trammel/judge/judge_slot.hpp"
#include "trammel/judge/missing_places.hpp"
#include "trammel/judge/open_edges.hpp"
#include "trammel/judge/other_holes.hpp"
#include "trammel/judge/own_points.hpp"
#include "trammel/judge/points_beyond.hpp"
#include "trammel/judge/region_words.hpp"
#include "trammel/judge/regions.hpp"
#include "trammel/judge/surface_there.hpp"
#include "trammel/judge/turn_of_round.hpp"
#include "trammel/judge/uncertainty.hpp"
#include "trammel/judge/unmade_features.hpp"
#include "trammel/judge/withdraw.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

/// Lone points are strays, but when so many are taken away the scan itself is in doubt.
constexpr double kMostLoneShare = 0.35;

std::string percent(double share) {
  return fixed(100.0 * share, 0) + " %";
}

/// Less than the limit, with as many digits as it takes to see that.
std::string percent_below(double share, double limit) {
  int digits = 0;
  while (digits < 6 && fixed(100.0 * share, digits) == fixed(100.0 * limit, digits))
    ++digits;
  return fixed(100.0 * share, digits) + " %";
}

/// What hangs on a turn that is not known.
Reasons doubts_of_turn(const Evidence& e) {
  if (!e.alignment.round || is_place_given(e.plan.method)) return {};
  const auto names = zones_on_one_side(e.plan, e.tree.cells(), *e.alignment.round);
  if (names.empty()) return {};
  return {
      "The design is round, and how far the part is turned about its axis is not known: on which "
      "side of it zone '" +
      names.front() + "' lies cannot be told"};
}

/// Why nothing that was measured may be believed; empty when it may.
Reasons doubts_of_pose(const Evidence& e) {
  Reasons out;
  if (!e.alignment.found) {
    out.emplace_back(
        "The scan's place on the design is not known: where the part is off cannot be told");
  }
  if (e.alignment.found && !e.alignment.converged) {
    out.emplace_back("The alignment did not settle");
  }
  if (e.alignment.ambiguous) {
    std::string words =
        "The scan fits as well in " + std::to_string(e.alignment.others.size() + 1) + " places";
    if (!e.alignment.others.empty()) words += " (" + e.alignment.others.front().words + ")";
    out.push_back(words + ": which is right cannot be known from it");
  }
  for (const std::string& motion : e.alignment.free_directions) {
    out.push_back("The seen surface does not hold the part: " + motion);
  }
  for (const std::string& doubt : e.alignment.doubts)
    out.push_back(doubt);
  if (!e.units.certain) {
    out.push_back("The unit of the scan is not sure (" + e.units.reason + ")");
  }
  return out;
}

/// Why the scan does not show enough; empty when it does.
Reasons gaps_of_scan(const Evidence& e, const Coverage& coverage) {
  Reasons out;
  const SurfaceCells& cells = e.tree.cells();
  if (coverage.seen_fraction < e.plan.least_coverage) {
    out.push_back("Only " + percent_below(coverage.seen_fraction, e.plan.least_coverage) +
                  " of the surface was seen; the plan asks for " + percent(e.plan.least_coverage));
  }
  for (const Zone& zone : e.plan.zones) {
    const auto share = seen_share_of(zone, cells, e.readings);
    if (!share) {
      out.push_back("Zone '" + zone.name + "' holds no surface of the design");
    } else if (*share < e.plan.least_coverage) {
      out.push_back("Only " + percent_below(*share, e.plan.least_coverage) + " of zone '" +
                    zone.name + "' was seen");
    }
  }
  const auto measured = static_cast<double>(count_of(e.deviations, Reading::Measured));
  if (coverage.seen_area_mm2 > e.plan.least_area_mm2 * measured) {
    out.push_back("The scan is too coarse for patches of " + shortest(e.plan.least_area_mm2) +
                  " mm²: it has one point on " +
                  fixed(coverage.seen_area_mm2 / std::max(1.0, measured), 1) + " mm²");
  }
  const auto lone = static_cast<double>(e.tidy.isolated);
  if (lone > kMostLoneShare * static_cast<double>(e.tidy.read)) {
    out.push_back(percent(lone / static_cast<double>(e.tidy.read)) +
                  " of the points were lone strays: too many to trust the rest");
  }
  return out;
}

Reasons flaws_of_design(const Evidence& e) {
  Reasons out;
  if (e.design_health.mixed_winding_edges > 0 && e.design_health.non_manifold_edges > 0) {
    out.emplace_back(
        "The design's triangles disagree on which side is out; the sign of a deviation "
        "cannot be known");
  }
  const auto border = static_cast<double>(count_of(e.deviations, Reading::BorderEdge));
  if (border > 0.02 * static_cast<double>(e.tidy.kept)) {
    out.push_back(
        percent(border / static_cast<double>(e.tidy.kept)) +
        " of the points lie at open edges of the design, where inside and outside are not "
        "defined");
  }
  return out;
}

Reasons open_edges(const Evidence& e, const Eigen::Matrix3Xd& points_mm, const Verdict& verdict) {
  const auto measured = static_cast<double>(count_of(e.deviations, Reading::Measured));
  return beyond_open_edges({e.plan, e.deviations, points_mm, verdict.uncertainty.expanded_mm,
                            e.tidy.spacing_mm,
                            verdict.coverage.seen_area_mm2 / std::max(1.0, measured)});
}

std::vector<HoleResult> judge_holes(const Evidence& e, const OpeningEvidence& scan,
                                    double expanded_mm) {
  std::vector<HoleResult> out;
  HoleEvidence evidence{e.design.mesh(), e.alignment, scan, expanded_mm};
  for (const HoleCheck& check : e.plan.holes) {
    evidence.bolts_up_in_group = bolts_up_in_group(e.plan, check);
    out.push_back(judge_hole(check, evidence));
  }
  doubt_holes_not_meant(e.plan.holes, e.design_holes.holes, out);
  return out;
}

/// Distances and forms: what hangs on single faces of the design.
void judge_faces(const Evidence& e, Verdict& verdict) {
  MeasureFaceSettings faces;
  faces.pooled_mm = pooled_mm(e.plan.least_area_mm2, e.tidy.spacing_mm);
  faces.least_seen = e.plan.least_coverage;
  if (e.plan.distances.empty() && e.plan.forms.empty()) return;
  const UncertaintyBudget& budget = verdict.uncertainty;
  const CellReadings own =
      by_own_points(e.tree.cells(), e.readings, e.deviations, e.normals, faces.pooled_mm);
  verdict.distances = judge_distances({e.plan, e.design, verdict.holes, e.tree.cells(), own,
                                       budget.expanded_mm, e.alignment.standard_error_mm, faces});
  verdict.forms = judge_forms({e.plan, e.design, e.tree.cells(), own,
                               uncertainty_within_scan_mm(budget), budget.noise_mm, faces});
}

/// The holes and slots of the design that the plan does not name.
void list_others(const Evidence& e, const SlotEvidence& slots, Verdict& verdict) {
  const bool sure =
      e.alignment.found && e.alignment.converged && !e.alignment.ambiguous && !e.alignment.loose;
  verdict.other_holes =
      other_holes({e.design.mesh(), e.design_holes.holes, verdict.holes, slots.scan, sure});
  verdict.other_slots = other_slots(slots, verdict.slots, sure);
}

/// What is said of the holes, slots, distances and forms that came out so.
Reasons told_of(const Verdict& verdict, Outcome outcome) {
  Reasons out;
  for (const HoleResult& hole : verdict.holes) {
    if (hole.outcome != outcome) continue;
    for (const std::string& reason : hole.reasons)
      out.push_back(capitalised(named(round_word(hole.kind), hole.name)) + ": " + reason);
  }
  for (const SlotResult& slot : verdict.slots) {
    if (slot.outcome != outcome) continue;
    for (const std::string& reason : slot.reasons)
      out.push_back("Slot " + slot.name + ": " + reason);
  }
  for (const BoltUp& up : verdict.bolt_ups)
    if (up.outcome == outcome) out.push_back(up.words);
  for (const DistanceResult& distance : verdict.distances) {
    if (distance.outcome != outcome) continue;
    for (const std::string& reason : distance.reasons)
      out.push_back("Distance " + distance.name + ": " + reason);
  }
  for (const FormResult& form : verdict.forms) {
    if (form.outcome != outcome) continue;
    for (const std::string& reason : form.reasons)
      out.push_back(capitalised(form_name(form.kind)) + " " + form.name + ": " + reason);
  }
  return out;
}

/// What is proven wrong with the part: regions, holes, slots, distances and forms.
Reasons faults(const Verdict& verdict) {
  Reasons out;
  const auto add_regions = [&](bool of_feature) {
    for (const Region& region : verdict.regions)
      if (region.outcome == Outcome::Fail && region.of_feature == of_feature &&
          !is_told_with_larger(verdict.regions, region))
        out.push_back(region_reason(region));
  };
  add_regions(false);
  append(out, told_of(verdict, Outcome::Fail));
  add_regions(true);
  return out;
}

/// What lies too near its limit to be proven either way, or was not measured.
Reasons open_questions(const Verdict& verdict) {
  Reasons out;
  for (const Region& region : verdict.regions) {
    if (region.outcome != Outcome::Undecided || is_told_with_larger(verdict.regions, region))
      continue;
    out.push_back(region_reason(region) + why_open(region, verdict.uncertainty.expanded_mm));
  }
  append(out, told_of(verdict, Outcome::Undecided));
  return out;
}

/// A region is explained where its flaws make more than half of what it is off, or the pose does
/// that they pulled along: of a moved face what stayed is where it should be.
void mark_explained(std::vector<Region>& regions, const Eigen::VectorXi& region_of_cell,
                    const Evidence& e, const Diagnosis& diagnosis) {
  std::vector<double> off(regions.size() + 1, 0.0), left = off;
  for (Eigen::Index c = 0; c < region_of_cell.size(); ++c) {
    const double value = e.readings.deviation_mm[c], area = e.tree.cells().area_mm2[c];
    if (region_of_cell[c] == 0 || std::isnan(value)) continue;
    const auto id = static_cast<std::size_t>(region_of_cell[c]);
    off[id] += area * std::abs(value);
    left[id] += area * std::min(std::abs(value - diagnosis.explained_mm[c]),
                                std::abs(value - diagnosis.motion_mm[c]));
  }
  for (Region& region : regions) {
    const auto id = static_cast<std::size_t>(region.id);
    region.explained = region.absence == Absence::None && left[id] < 0.5 * off[id];
  }
}

}  // namespace

Judgement judge(const Evidence& e) {
  Judgement out;
  Verdict& verdict = out.verdict;
  const SurfaceCells& cells = e.tree.cells();
  const Eigen::Matrix3Xd points_mm = moved_points(e.alignment.T_design_scan, e.scan.points_mm);
  verdict.coverage = coverage_of(cells, e.readings);
  verdict.uncertainty = uncertainty_of(e.plan, e.alignment, e.deviations, e.readings);
  verdict.summary = summary_of(e.deviations);
  // Of a part whose place is not known no place can be said to be off.
  const bool placed = e.alignment.found && !e.alignment.loose;
  CellReadings of_form = of_cells(e.readings);
  if (placed) {
    FoundRegions found =
        find_regions(e.plan, cells, e.readings, e.deviations, verdict.uncertainty.expanded_mm,
                     verdict.uncertainty.noise_mm, e.tidy.spacing_mm);
    verdict.regions = std::move(found.regions);
    out.region_of_cell = std::move(found.region_of_cell);
    const MissingEvidence missing{e.design,
                                  cells,
                                  e.readings,
                                  e.deviations,
                                  points_mm,
                                  e.normals,
                                  verdict.uncertainty.expanded_mm};
    tell_missing(missing, out.region_of_cell, verdict.regions);
    of_form = tell_unmade(missing, out.region_of_cell, verdict.regions);
    tell_cut_outs(missing, out.region_of_cell, verdict.regions, of_form);
  } else {
    out.region_of_cell = Eigen::VectorXi::Zero(cells.size());
  }
  const OpeningEvidence openings{points_mm,
                                 e.normals,
                                 e.deviations,
                                 e.plan.coating_mm,
                                 verdict.uncertainty.noise_mm,
                                 e.tidy.spacing_mm,
                                 !e.scan.has_normals()};
  verdict.holes = judge_holes(e, openings, verdict.uncertainty.expanded_mm);
  verdict.bolt_ups = bolt_up(e.plan, verdict.holes, seated_mates(e.plan.mates, e.mates, e.design));
  const SlotEvidence slots{e.design.mesh(), e.design_slots.slots, e.alignment, openings,
                           verdict.uncertainty.expanded_mm};
  for (const SlotCheck& check : e.plan.slots)
    verdict.slots.push_back(judge_slot(check, slots));
  judge_faces(e, verdict);
  list_others(e, slots, verdict);
  out.notes = notes_on_bolts(e.plan, verdict.holes);
  if (!e.design_holes.complete) {
    out.notes.emplace_back("The list of other holes may lack some: the design is all of creases");
  }
  if (e.alignment.round && !is_place_given(e.plan.method)) {
    out.notes.emplace_back(
        "The design is round: how far the part is turned about its axis cannot be known, and where "
        "around it something lies is told as it happened to be turned");
  }
  if (!e.design_slots.complete) {
    out.notes.emplace_back("The list of slots may lack some: the design is all of creases");
  }

  Reasons doubts = doubts_of_pose(e);
  append(doubts, doubts_of_turn(e));
  append(doubts, flaws_of_design(e));
  if (!doubts.empty()) {
    withdraw_faults(verdict);
  } else {
    Diagnosis diagnosis = diagnose({e.design_faces, cells, of_form, e.plan,
                                    verdict.uncertainty.expanded_mm, e.tidy.spacing_mm});
    verdict.flaws = std::move(diagnosis.flaws);
    auto& flaws = verdict.flaws;
    flaws.erase(std::remove_if(flaws.begin(), flaws.end(),
                               [&](const Flaw& flaw) { return is_told_by_feature(flaw, verdict); }),
                flaws.end());
    mark_explained(verdict.regions, out.region_of_cell, e, diagnosis);
    for (Region& region : verdict.regions)
      region.of_feature = is_told_by_feature(region, verdict);
  }
  const Reasons proven = faults(verdict);
  Reasons open;
  if (placed) open = things_on_part(e, points_mm);
  append(open, open_questions(verdict));
  append(open, gaps_of_scan(e, verdict.coverage));
  if (placed) append(open, open_edges(e, points_mm, verdict));
  InMaterial material;
  if (placed) material = inside_material(e, points_mm, verdict);
  if (placed) append(open, open_places(e, points_mm, material, verdict, out.region_of_cell));
  if (placed && proven.empty() && open.empty()) {
    append(open, why_beyond(points_beyond({e.plan, e.design, cells, e.readings, e.deviations,
                                           points_mm, verdict.uncertainty, e.tidy.spacing_mm,
                                           material.strays_per_mm3})));
    append(open, hidden_by_strays(e, material));
    append(open, slits_in_part(e, points_mm, material, verdict));
    append(open, rods_on_part(e, points_mm, material, verdict));
  }

  verdict.outcome = !proven.empty()                  ? Outcome::Fail
                    : doubts.empty() && open.empty() ? Outcome::Pass
                                                     : Outcome::Undecided;
  append(verdict.reasons, proven);
  append(verdict.reasons, doubts);
  append(verdict.reasons, open);
  verdict.actions = advice(verdict, e.alignment, e.plan);
  return out;
}

}  // namespace trammel
