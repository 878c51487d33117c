#include <cmath>
#include <nlohmann/json.hpp>

#include "bolts_json.hpp"
#include "forms_json.hpp"
#include "json_text.hpp"
#include "slots_json.hpp"
#include "trammel/report/report.hpp"

namespace trammel {
namespace {

using Json = nlohmann::ordered_json;

Json number(double value) {
  return json_number(value);
}

Json number(const std::optional<double>& value) {
  return json_number(value);
}

Json band_json(const Band& band) {
  return {{"over", number(band.over_mm)}, {"under", number(band.under_mm)}};
}

Json plan_json(const Plan& plan) {
  Json zones = Json::array();
  for (const Zone& zone : plan.zones)
    zones.push_back({{"name", zone.name}, {"band", band_json(zone.band)}});
  return {{"file", plan.file.filename().string()},
          {"sha256", plan.sha256.empty() ? Json(nullptr) : Json(plan.sha256)},
          {"title", plan.title},
          {"checked_by", plan.checked_by},
          {"scanner", plan.scanner},
          {"band", band_json(plan.band)},
          {"zones", std::move(zones)},
          {"least_coverage", number(plan.least_coverage)},
          {"least_area", number(plan.least_area_mm2)},
          {"coating", number(plan.coating_mm)}};
}

Json design_json(const Inspection& inspection) {
  const Design& design = inspection.design;
  const Box box = bounding_box(design.mesh.vertices_mm);
  return {{"file", design.file},
          {"sha256", design.sha256},
          {"triangles", design.triangles_read},
          {"size", json_vector(box.size_mm())},
          {"closed", design.health.closed},
          {"repairs", design.health.repairs}};
}

Json scan_json(const Inspection& inspection) {
  const TidyCounts& tidy = inspection.tidy;
  const UnitChoice& units = inspection.units;
  return {{"file", inspection.source.file},
          {"sha256", inspection.source.sha256},
          {"points", tidy.read},
          {"kept", tidy.kept},
          {"unit_scale", number(units.mm_per_unit)},
          {"unit", units.unit},
          {"unit_reason", units.reason},
          {"unit_certain", units.certain},
          {"not_finite", tidy.not_finite},
          {"repeated", tidy.repeated},
          {"isolated", tidy.isolated},
          {"spare", tidy.spare},
          {"spacing", number(tidy.spacing_mm)},
          {"notes", inspection.source.notes}};
}

Json others_json(const Alignment& alignment) {
  Json others = Json::array();
  for (const OtherPose& other : alignment.others) {
    others.push_back({{"words", other.words},
                      {"rms", number(other.rms_mm)},
                      {"overlap", number(other.overlap)},
                      {"scan_to_design", json_matrix(other.T_design_scan)}});
  }
  return others;
}

Json pairs_json(const Alignment& alignment) {
  Json pairs = Json::array();
  for (const PairResidual& pair : alignment.pairs) {
    pairs.push_back({{"design", json_vector(pair.design_mm)},
                     {"scan", json_vector(pair.scan_mm)},
                     {"residual", number(pair.residual_mm)},
                     {"left", number(pair.left_mm)}});
  }
  return pairs;
}

/// Of a datum that held nothing there is no form.
Json datums_json(const Alignment& alignment) {
  Json datums = Json::array();
  for (const DatumHold& datum : alignment.datums) {
    const bool is_face = datum.feature == "face" && datum.motions > 0;
    datums.push_back({{"label", datum.label},
                      {"feature", datum.feature},
                      {"at", json_vector(datum.at_mm)},
                      {"motions", datum.motions},
                      {"seen", number(datum.seen)},
                      {"form", is_face ? number(datum.form_mm) : Json(nullptr)},
                      {"touching", datum.touching}});
  }
  return datums;
}

/// Who reads these few alone must not take for held what is not: along a free direction other
/// places fit as well, and a search that ended nowhere has not come to rest.
Json alignment_json(const Alignment& alignment) {
  return {{"method", alignment.method},
          {"scan_to_design", json_matrix(alignment.T_design_scan)},
          {"rms", alignment.overlap > 0.0 ? number(alignment.rms_mm) : Json(nullptr)},
          {"ambiguous", alignment.ambiguous || !alignment.free_directions.empty()},
          {"converged", alignment.converged && alignment.found},
          {"found", alignment.found},
          {"overlap", number(alignment.overlap)},
          {"iterations", alignment.iterations},
          {"standard_error", number(alignment.standard_error_mm)},
          {"others", others_json(alignment)},
          {"free_directions", alignment.free_directions},
          {"held_by", alignment.held_by},
          {"pairs", pairs_json(alignment)},
          {"datums", datums_json(alignment)},
          {"doubts", alignment.doubts}};
}

Json coverage_json(const Coverage& coverage) {
  return {{"seen_fraction", number(coverage.seen_fraction)},
          {"seen_area", number(coverage.seen_area_mm2)},
          {"design_area", number(coverage.design_area_mm2)}};
}

Json readings_json(const Deviations& deviations) {
  return {{"measured", count_of(deviations, Reading::Measured)},
          {"inside", count_of(deviations, Reading::Inside)},
          {"too_far", count_of(deviations, Reading::TooFar)},
          {"beside", count_of(deviations, Reading::Beside)},
          {"stray", count_of(deviations, Reading::Stray)},
          {"border_edge", count_of(deviations, Reading::BorderEdge)}};
}

Json deviation_json(const Inspection& inspection) {
  const DeviationSummary& summary = inspection.verdict.summary;
  // Of no readings there is no mean: null, not 0.
  const auto figure = [&](double value) {
    return summary.count > 0 ? number(value) : Json(nullptr);
  };
  return {{"count", summary.count},
          {"mean", figure(summary.mean_mm)},
          {"stddev", figure(summary.stddev_mm)},
          {"rms", figure(summary.rms_mm)},
          {"min", figure(summary.min_mm)},
          {"max", figure(summary.max_mm)},
          {"p05", figure(summary.p05_mm)},
          {"median", figure(summary.median_mm)},
          {"p95", figure(summary.p95_mm)},
          {"reach", number(inspection.deviations.reach_mm)},
          {"readings", readings_json(inspection.deviations)}};
}

Json regions_json(const Verdict& verdict) {
  Json regions = Json::array();
  for (const Region& region : verdict.regions) {
    regions.push_back(
        {{"id", region.id},
         {"kind", kind_name(region.kind)},
         {"peak", number(region.peak_mm)},
         {"mean", number(region.mean_mm)},
         {"area", number(region.area_mm2)},
         {"center", json_vector(region.center_mm)},
         {"zone", region.zone},
         {"verdict", outcome_name(region.outcome)},
         {"normal", json_vector(region.normal)},
         {"size", json_vector(region.size_mm)},
         {"limit", number(region.limit_mm)},
         {"points", region.points},
         {"conformity", number(region.conformity)},
         {"absence", absence_name(region.absence)},
         {"missing_area", number(region.missing_mm2)},
         {"hole_diameter", number(region.hole_mm)},
         {"lacks", region.lacks ? json_vector(region.lacks->size_mm()) : Json(nullptr)},
         {"told_with", region.told_with != 0 ? Json(region.told_with) : Json(nullptr)}});
  }
  return regions;
}

Json holes_json(const Verdict& verdict) {
  Json holes = Json::array();
  for (const HoleResult& hole : verdict.holes) {
    holes.push_back({{"name", hole.name},
                     {"kind", round_word(hole.kind)},
                     {"state", state_name(hole.state)},
                     {"position", number(hole.position_mm)},
                     {"offset", hole.offset_mm ? json_vector(*hole.offset_mm) : Json(nullptr)},
                     {"diameter", number(hole.diameter_mm)},
                     {"verdict", outcome_name(hole.outcome)},
                     {"nominal", json_vector(hole.nominal_mm)},
                     {"axis", json_vector(hole.axis)},
                     {"nominal_diameter", number(hole.nominal_diameter_mm)},
                     {"standard_error", number(hole.standard_error_mm)},
                     {"points", hole.points},
                     {"rims", hole.rims},
                     {"tilt", number(hole.tilt_mm)},
                     {"depth", number(hole.depth_mm)},
                     {"conformity", number(hole.conformity)},
                     {"reasons", hole.reasons}});
  }
  return holes;
}

/// Of a scale that was not estimated there is neither value nor uncertainty.
Json one_scale_json(const char* name, double scale, double standard_error) {
  const bool estimated = standard_error > 0.0;
  return {{name, estimated ? number(scale) : Json(nullptr)},
          {"uncertainty", estimated ? number(2.0 * standard_error) : Json(nullptr)}};
}

Json scale_json(const ScaleEstimate& scale) {
  Json out = one_scale_json("uniform", scale.uniform, scale.standard_error);
  for (const int axis : {0, 1, 2})
    out["axes"].push_back(
        one_scale_json("scale", scale.axes[axis], scale.axes_standard_error[axis]));
  return out;
}

Json poses_json(const Verdict& verdict) {
  Json poses = Json::array();
  for (const PoseOutcome& pose : verdict.in_poses)
    poses.push_back(
        {{"words", pose.words}, {"verdict", outcome_name(pose.outcome)}, {"reason", pose.reason}});
  return poses;
}

Json flaws_json(const Verdict& verdict) {
  Json flaws = Json::array();
  for (const Flaw& flaw : verdict.flaws) {
    flaws.push_back({{"kind", flaw_name(flaw.kind)},
                     {"words", flaw.words},
                     {"action", flaw.action},
                     {"figure", number(flaw.figure_mm)},
                     {"angle", number(flaw.angle_rad)},
                     {"scale", json_vector(flaw.scale)},
                     {"share", number(flaw.share)},
                     {"of_wall", flaw.of_wall},
                     {"center", json_vector(flaw.center_mm)}});
  }
  return flaws;
}

Json distances_json(const Verdict& verdict) {
  Json distances = Json::array();
  for (const DistanceResult& distance : verdict.distances) {
    const bool measured = distance.actual_mm.has_value();
    distances.push_back(
        {{"name", distance.name},
         {"nominal", number(distance.nominal_mm)},
         {"least", number(distance.least_mm)},
         {"most", number(distance.most_mm)},
         {"class", distance.tolerance_class},
         {"actual", number(distance.actual_mm)},
         {"uncertainty", measured ? number(distance.uncertainty_mm) : Json(nullptr)},
         {"verdict", outcome_name(distance.outcome)},
         {"drawn", number(distance.drawn_mm)},
         {"lean", number(distance.lean_rad)},
         {"from", json_vector(distance.from_mm)},
         {"to", json_vector(distance.to_mm)},
         {"measured_as", distance.measured_as},
         {"conformity", number(distance.conformity)},
         {"reasons", distance.reasons}});
  }
  return distances;
}

Json other_holes_json(const Verdict& verdict) {
  Json holes = Json::array();
  for (const OtherHole& hole : verdict.other_holes) {
    const bool measured = hole.state == HoleState::Measured;
    holes.push_back({{"state", state_name(hole.state)},
                     {"nominal", json_vector(hole.center_mm)},
                     {"axis", json_vector(hole.axis)},
                     {"nominal_diameter", number(hole.drawn_diameter_mm)},
                     {"depth", number(hole.depth_mm)},
                     {"diameter", number(hole.diameter_mm)},
                     {"offset", hole.offset_mm ? json_vector(*hole.offset_mm) : Json(nullptr)},
                     {"standard_error", measured ? number(hole.standard_error_mm) : Json(nullptr)},
                     {"points", hole.points},
                     {"reason", hole.reason}});
  }
  return holes;
}

Json uncertainty_json(const UncertaintyBudget& budget) {
  return {{"expanded", number(budget.expanded_mm)},
          {"coverage_factor", 2},
          {"from_plan", budget.from_plan},
          {"noise", number(budget.noise_mm)},
          {"alignment", number(budget.alignment_mm)},
          {"coating", number(budget.coating_mm)}};
}

}  // namespace

std::string result_json(const Inspection& inspection) {
  const Verdict& verdict = inspection.verdict;
  Json result;
  result["schema"] = 1;
  result["version"] = inspection.run.version;
  result["verdict"] = outcome_name(verdict.outcome);
  result["reasons"] = verdict.reasons;
  result["actions"] = verdict.actions;
  result["judged_in_poses"] = poses_json(verdict);
  result["plan"] = plan_json(inspection.plan);
  result["design"] = design_json(inspection);
  result["scan"] = scan_json(inspection);
  result["alignment"] = alignment_json(inspection.alignment);
  result["coverage"] = coverage_json(verdict.coverage);
  result["uncertainty"] = uncertainty_json(verdict.uncertainty);
  result["deviation"] = deviation_json(inspection);
  result["measured_again"] = inspection.proof.points;
  result["regions"] = regions_json(verdict);
  result["holes"] = holes_json(verdict);
  result["other_holes"] = other_holes_json(verdict);
  result["slots"] = slots_json(verdict.slots);
  result["other_slots"] = slots_json(verdict.other_slots);
  result["distances"] = distances_json(verdict);
  result["forms"] = forms_json(verdict);
  result["scale"] = scale_json(inspection.alignment.scale);
  result["bolt_ups"] = bolt_ups_json(verdict);
  result["mates"] = mates_json(inspection.mates);
  result["flaws"] = flaws_json(verdict);
  result["notes"] = inspection.notes;
  return json_text(result);
}

}  // namespace trammel
