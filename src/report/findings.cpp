#include "trammel/report/findings.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/model/hole_lean.hpp"
#include "trammel/model/words.hpp"
#include "trammel/report/form_words.hpp"
#include "trammel/report/slot_words.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

double ratio(double value, double limit) {
  return limit > 0.0 ? value / limit : (value > 0.0 ? 1e9 : 0.0);
}

/// Of a surface that is not there: no figure says how far off it is.
std::string absence_title(const Region& region, const std::string& where) {
  const std::string what = absence_words(region);
  if (region.absence == Absence::Hole) return "A " + what + ", " + where + ".";
  return (region.outcome == Outcome::Fail ? "Missing, " : "Perhaps missing, ") + where + ": " +
         what + ".";
}

std::string region_title(const Region& region, const Box& part, int decimals) {
  if (region.absence != Absence::None)
    return absence_title(region, place_words(region.center_mm, region.normal, part));
  const std::string word = region.kind == RegionKind::Proud ? "Proud by " : "Shy by ";
  std::string title = word + fixed(std::abs(region.peak_mm), decimals) + " mm, " +
                      place_words(region.center_mm, region.normal, part) + ".";
  return title;
}

std::string region_detail(const Region& region, int decimals, double least_area_mm2) {
  std::string detail = area_words(region.area_mm2) + " around " + point_words(region.center_mm);
  if (region.absence == Absence::None) {
    if (region.missing_mm2 >= least_area_mm2)
      detail += ", of which " + area_words(region.missing_mm2) + " are missing";
    detail += "; allowed " + fixed(region.limit_mm, std::max(decimals, 2)) + " mm";
  }
  if (!region.zone.empty()) detail += " in " + printable(region.zone);
  if (region.lacks) detail += "; about " + size_words(*region.lacks);
  if (region.told_with != 0)
    detail += "; of the same piece as region " + std::to_string(region.told_with);
  if (region.of_feature) detail += "; of a hole, pin or slot that is not as drawn";
  if (region.outcome == Outcome::Undecided)
    detail += region.adds_up ? "; small, but with more beside it or standing out from it"
                             : "; too near the limit to tell";
  if (region.outcome == Outcome::Listed) detail += "; too small to be judged";
  return detail + ".";
}

Finding region_finding(const Inspection& inspection, std::size_t index, const Box& part) {
  const Region& region = inspection.verdict.regions[index];
  const int decimals = length_decimals(inspection);
  Finding finding;
  finding.label = std::to_string(region.id);
  finding.index = index;
  finding.outcome = region.outcome;
  finding.severity = region.absence == Absence::None
                         ? ratio(std::abs(region.peak_mm), region.limit_mm)
                         : kAbsentSeverity;
  finding.title = region_title(region, part, decimals);
  finding.detail = region_detail(region, decimals, inspection.plan.least_area_mm2);
  return finding;
}

/// How far a diameter is outside its limits, in multiples of half their span, plus 1; 0 inside.
double size_severity(const HoleResult& hole, const HoleCheck* check) {
  if (check == nullptr || !check->diameter_mm || !hole.diameter_mm) return 0.0;
  const Limits& limits = *check->diameter_mm;
  const double out =
      std::max(limits.low_mm - *hole.diameter_mm, *hole.diameter_mm - limits.high_mm);
  if (out <= 0.0) return 0.0;
  return 1.0 + ratio(out, 0.5 * (limits.high_mm - limits.low_mm));
}

double hole_severity(const HoleResult& hole, const HoleCheck* check) {
  if (is_absent(hole.state)) return kAbsentSeverity;
  double severity = size_severity(hole, check);
  if (check != nullptr && check->position_mm && hole.position_mm) {
    severity = std::max(severity, ratio(*hole.position_mm, *check->position_mm));
  }
  return severity;
}

/// The length digits that suit an offset: one coarser than a reading's, as a fitter would say it.
std::string offset_words(const Eigen::Vector3d& offset_mm, int decimals) {
  return fixed(offset_mm.norm(), std::max(1, decimals - 1)) + " mm towards " +
         axes_words(offset_mm);
}

std::string hole_title(const HoleResult& hole, const HoleCheck* check, int decimals) {
  const std::string name = capitalised(named(round_word(hole.kind), printable(hole.name)));
  if (is_absent(hole.state)) return name + " " + absence_words(hole.outcome) + ".";
  if (!hole.offset_mm) return name + " could not be measured.";
  const bool off_place = check != nullptr && check->position_mm && hole.position_mm &&
                         *hole.position_mm > *check->position_mm;
  // What is not proven is not said: its reason follows.
  if (hole.outcome != Outcome::Fail) return name + " cannot be decided.";
  if (off_place && is_off_by_lean(hole)) return name + " " + hole_lean_words(hole) + ".";
  if (off_place) return name + " sits " + offset_words(*hole.offset_mm, decimals) + ".";
  if (size_severity(hole, check) > 0.0) {
    const bool small = *hole.diameter_mm < check->diameter_mm->low_mm;
    return name + (small ? " is too small: " : " is too large: ") +
           fixed(*hole.diameter_mm, decimals) + " mm.";
  }
  if (check != nullptr && check->bolt_mm && hole.free_width_mm &&
      *hole.free_width_mm < *check->bolt_mm) {
    return name + " does not let its bolt of " + shortest(*check->bolt_mm) +
           " mm through: " + fixed(*hole.free_width_mm, decimals) + " mm are free.";
  }
  return name + " is not as planned.";
}

Finding hole_finding(const Inspection& inspection, std::size_t index) {
  const HoleResult& hole = inspection.verdict.holes[index];
  const HoleCheck* check = check_of(inspection.plan, hole.name);
  const int decimals = length_decimals(inspection);
  Finding finding;
  finding.label = printable(hole.name);
  finding.subject = Subject::Hole;
  finding.index = index;
  finding.outcome = hole.outcome;
  finding.severity = hole_severity(hole, check);
  finding.title = hole_title(hole, check, decimals);
  finding.detail = is_absent(hole.state) ? reason_sentence(hole.reasons.front())
                                         : why_or(hole.outcome, hole.reasons,
                                                  hole_figures(inspection, hole, decimals));
  return finding;
}

/// How much of its tolerance a distance used, on the side it is off to.
double distance_severity(const DistanceResult& distance) {
  if (!distance.actual_mm || !distance.least_mm) return 0.0;
  return used_share(*distance.actual_mm, *distance.nominal_mm, *distance.least_mm,
                    *distance.most_mm);
}

std::string distance_title(const DistanceResult& distance, int decimals) {
  const std::string name = capitalised(named("distance", printable(distance.name)));
  if (!distance.actual_mm) return name + " could not be measured.";
  if (distance.outcome != Outcome::Fail) return name + " cannot be decided.";
  const bool is_short = *distance.actual_mm < *distance.nominal_mm;
  return name + (is_short ? " is too short: " : " is too long: ") +
         fixed(*distance.actual_mm, decimals) + " mm.";
}

Finding distance_finding(const Inspection& inspection, std::size_t index) {
  const DistanceResult& distance = inspection.verdict.distances[index];
  const int decimals = length_decimals(inspection);
  Finding finding;
  finding.label = printable(distance.name);
  finding.subject = Subject::Distance;
  finding.index = index;
  finding.outcome = distance.outcome;
  finding.severity = distance_severity(distance);
  finding.title = distance_title(distance, decimals);
  finding.detail = why_or(distance.outcome, distance.reasons, distance_figures(distance, decimals));
  return finding;
}

int rank(Outcome outcome) {
  switch (outcome) {
    case Outcome::Fail: return 0;
    case Outcome::Undecided: return 1;
    case Outcome::Listed: return 2;
    case Outcome::Pass: return 3;
  }
  return 3;
}

}  // namespace

std::string reason_sentence(const std::string& reason) {
  const std::string words = capitalised(printable(reason));
  return words.back() == '.' ? words : words + ".";
}

std::string why_or(Outcome outcome, const std::vector<std::string>& reasons,
                   const std::string& figures) {
  const bool say_why = outcome == Outcome::Undecided && !reasons.empty();
  return say_why ? reason_sentence(reasons.front()) : figures;
}

double used_share(double actual, double nominal, double least, double most) {
  const double off = actual - nominal;
  return off > 0.0 ? ratio(off, most - nominal) : ratio(-off, nominal - least);
}

std::vector<Finding> findings(const Inspection& inspection) {
  const Box part = bounding_box(inspection.design.mesh.vertices_mm);
  std::vector<Finding> found;
  for (std::size_t i = 0; i < inspection.verdict.regions.size(); ++i)
    found.push_back(region_finding(inspection, i, part));
  for (std::size_t i = 0; i < inspection.verdict.holes.size(); ++i)
    found.push_back(hole_finding(inspection, i));
  for (std::size_t i = 0; i < inspection.verdict.slots.size(); ++i)
    found.push_back(slot_finding(inspection, i));
  for (std::size_t i = 0; i < inspection.verdict.distances.size(); ++i)
    found.push_back(distance_finding(inspection, i));
  for (std::size_t i = 0; i < inspection.verdict.forms.size(); ++i)
    found.push_back(form_finding(inspection.verdict.forms[i], i));
  const auto fine = [](const Finding& finding) { return finding.outcome == Outcome::Pass; };
  found.erase(std::remove_if(found.begin(), found.end(), fine), found.end());
  const auto& regions = inspection.verdict.regions;
  const auto is_told_elsewhere = [&](const Finding& finding) {
    if (finding.subject != Subject::Region) return false;
    const Region& region = regions[finding.index];
    return region.of_feature || is_told_with_larger(regions, region);
  };
  std::stable_sort(found.begin(), found.end(), [&](const Finding& a, const Finding& b) {
    if (rank(a.outcome) != rank(b.outcome)) return rank(a.outcome) < rank(b.outcome);
    if (is_told_elsewhere(a) != is_told_elsewhere(b)) return is_told_elsewhere(b);
    return a.severity > b.severity;
  });
  return found;
}

Finding finding_as_planned(const Inspection& inspection, Subject subject, std::size_t index) {
  const bool is_slot = subject == Subject::Slot;
  Finding good = is_slot ? slot_finding(inspection, index) : hole_finding(inspection, index);
  const std::string what = is_slot ? "slot" : round_word(inspection.verdict.holes[index].kind);
  good.title = capitalised(what) + " " + good.label + " is as planned.";
  return good;
}

std::string mark_of_region(const Region& region) {
  return "region-" + std::to_string(region.id);
}

std::string mark_of_hole(std::size_t index) {
  return "hole-" + std::to_string(index);
}

std::string mark_of_slot(std::size_t index) {
  return "slot-" + std::to_string(index);
}

std::string mark_of_flaw(std::size_t index) {
  return "flaw-" + std::to_string(index);
}

bool is_opening(const Finding& finding) {
  return finding.subject == Subject::Hole || finding.subject == Subject::Slot;
}

bool has_place(const Finding& finding) {
  return finding.subject == Subject::Region || is_opening(finding);
}

std::string mark_of(const Finding& finding) {
  if (!has_place(finding)) return {};
  if (finding.subject == Subject::Slot) return mark_of_slot(finding.index);
  return finding.subject == Subject::Hole ? mark_of_hole(finding.index) : "region-" + finding.label;
}

std::string hole_figures(const Inspection& inspection, const HoleResult& hole, int decimals) {
  const HoleCheck* check = check_of(inspection.plan, hole.name);
  std::string words;
  if (hole.position_mm) {
    words = "Position " + fixed(*hole.position_mm, decimals);
    if (check != nullptr && check->position_mm) {
      words += " against " + fixed(*check->position_mm, decimals);
    }
  }
  if (hole.diameter_mm) {
    words += (words.empty() ? "Size " : "; size ") + fixed(*hole.diameter_mm, decimals);
    if (check != nullptr && check->diameter_mm) {
      words += " (" + fixed(check->diameter_mm->low_mm, decimals) + " to " +
               fixed(check->diameter_mm->high_mm, decimals) + ")";
    }
  }
  return words.empty() ? "Not measured." : words + ".";
}

std::string distance_figures(const DistanceResult& distance, int decimals) {
  if (!distance.actual_mm || !distance.nominal_mm) return "Not measured.";
  std::string words =
      fixed(*distance.actual_mm, decimals) + " mm against " + fixed(*distance.nominal_mm, decimals);
  if (distance.least_mm) {
    words +=
        " (" + fixed(*distance.least_mm, decimals) + " to " + fixed(*distance.most_mm, decimals);
    if (!distance.tolerance_class.empty()) words += ", " + printable(distance.tolerance_class);
    words += ")";
  }
  return words + ".";
}

const HoleResult* tightest_hole(const Inspection& inspection) {
  const HoleResult* tightest = nullptr;
  double most = -1.0;
  for (const HoleResult& hole : inspection.verdict.holes) {
    const HoleCheck* check = check_of(inspection.plan, hole.name);
    if (check == nullptr || !check->position_mm || !hole.position_mm) continue;
    const double used = *hole.position_mm / std::max(1e-12, *check->position_mm);
    if (used <= most) continue;
    most = used;
    tightest = &hole;
  }
  return tightest;
}

NearestReading nearest_to_limit(const Inspection& inspection, std::optional<RegionKind> side) {
  const SurfaceMap& surface = inspection.surface;
  NearestReading nearest;
  double worst = -1.0;
  for (Eigen::Index c = 0; c < surface.cells.size(); ++c) {
    const double deviation = surface.readings.deviation_mm[c];
    if (!std::isfinite(deviation)) continue;
    if (side == RegionKind::Proud && !(deviation > 0.0)) continue;
    if (side == RegionKind::Shy && !(deviation < 0.0)) continue;
    const Band band = band_at(inspection.plan, surface.cells.center_mm.col(c)).band;
    const double limit = deviation > 0.0 ? band.over_mm : band.under_mm;
    if (ratio(std::abs(deviation), limit) <= worst) continue;
    worst = ratio(std::abs(deviation), limit);
    nearest = {deviation, limit, surface.cells.center_mm.col(c), surface.cells.normal.col(c), true};
  }
  return nearest;
}

}  // namespace trammel
