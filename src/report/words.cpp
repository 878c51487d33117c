#include "trammel/report/words.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/model/hole_lean.hpp"
#include "trammel/report/brief_names.hpp"
#include "trammel/report/form_words.hpp"
#include "trammel/report/slot_words.hpp"

namespace trammel {
namespace {

constexpr int kMostDecimals = 4;

/// Decimals that the shortest form of a value has: 0.5 → 1, 0.25 → 2, 1 → 0.
int decimals_written(double value) {
  for (int decimals = 0; decimals < kMostDecimals; ++decimals) {
    const double scaled = value * std::pow(10.0, decimals);
    if (std::abs(scaled - std::round(scaled)) < 1e-6) return decimals;
  }
  return kMostDecimals;
}

/// Decimals down to the first digit of U that is not 0: 0.05 → 2, 0.2 → 1.
int decimals_allowed(double uncertainty_mm) {
  if (!(uncertainty_mm > 0.0)) return kMostDecimals;
  return std::clamp(static_cast<int>(std::ceil(-std::log10(uncertainty_mm) - 1e-9)), 1,
                    kMostDecimals);
}

std::string axis_word(int axis, bool positive) {
  static const std::array<const char*, 3> kNames = {"X", "Y", "Z"};
  return (positive ? "+" : "\u2212") + std::string(kNames[static_cast<std::size_t>(axis)]);
}

/// The part's end that a point is near (outer sixth of the part along an axis), or −1.
int nearest_end(const Eigen::Vector3d& point_mm, const Eigen::Vector3d& normal, const Box& part) {
  int best = -1;
  double farthest = 2.0 / 3.0;
  for (int axis = 0; axis < 3; ++axis) {
    const double half = 0.5 * part.size_mm()[axis];
    if (half <= 0.0 || std::abs(normal[axis]) > 0.7) continue;  // it faces that way: said already
    const double outward = std::abs(point_mm[axis] - part.center_mm()[axis]) / half;
    if (outward > farthest) {
      farthest = outward;
      best = axis;
    }
  }
  return best;
}

std::vector<const HoleResult*> holes_with(const Inspection& inspection, Outcome outcome) {
  std::vector<const HoleResult*> found;
  for (const HoleResult& hole : inspection.verdict.holes) {
    if (hole.outcome == outcome) found.push_back(&hole);
  }
  return found;
}

HoleState state_of(const HoleResult* hole) {
  return hole->state;
}
template <class Result>
HoleState state_of(const Result& result) {
  return result.state;
}

template <class List>
std::size_t absent_among(const List& list) {
  return static_cast<std::size_t>(std::count_if(
      list.begin(), list.end(), [](const auto& one) { return is_absent(state_of(one)); }));
}

std::string several_fail(bool all_absent) {
  return all_absent ? " are missing" : " are not as planned";
}

/// What fails one hole: first its place, then its size.
std::string hole_fault(const Inspection& inspection, const HoleResult& hole) {
  const HoleCheck* check = check_of(inspection.plan, hole.name);
  const int decimals = std::max(1, length_decimals(inspection) - 1);
  if (is_absent(hole.state)) return absence_words(hole.outcome);
  if (check == nullptr) return "is not as planned";
  if (hole.offset_mm && hole.position_mm && check->position_mm &&
      *hole.position_mm > *check->position_mm) {
    if (is_off_by_lean(hole)) return hole_lean_words(hole);
    return "is " + fixed(hole.offset_mm->norm(), decimals) + " mm off place";
  }
  if (!hole.diameter_mm || !check->diameter_mm) return "is not as planned";
  const double small_mm = check->diameter_mm->low_mm - *hole.diameter_mm;
  const double large_mm = *hole.diameter_mm - check->diameter_mm->high_mm;
  if (small_mm > 0.0) return "is " + fixed(small_mm, decimals) + " mm smaller than allowed";
  if (large_mm > 0.0) return "is " + fixed(large_mm, decimals) + " mm larger than allowed";
  return "is not as planned";
}

/// "holes A and B"; "three holes" where their names would fill the sentence.
std::string names_or_count(const std::string& word, const std::vector<std::string>& names,
                           std::size_t most) {
  constexpr std::size_t kMostNameBytes = 90;  // a line and a half under the verdict
  if (names.size() == 1) return named(word, names.front());
  std::string list = list_words(names, most);
  if (list.size() > kMostNameBytes) return count_words(names.size()) + " " + word + "s";
  const bool all_say_it = std::all_of(names.begin(), names.end(), [&](const std::string& name) {
    return named(word, name) == name;
  });
  return all_say_it ? list : word + "s " + list;
}

std::string holes_clause(const Inspection& inspection) {
  const auto bad = holes_with(inspection, Outcome::Fail);
  if (bad.empty()) return {};
  if (bad.size() == 1) return round_names(bad, 1) + " " + hole_fault(inspection, *bad[0]);
  return round_names(bad, 3) + several_fail(absent_among(bad) == bad.size());
}

std::string distances_clause(const Inspection& inspection) {
  std::vector<const DistanceResult*> bad;
  for (const DistanceResult& distance : inspection.verdict.distances)
    if (distance.outcome == Outcome::Fail) bad.push_back(&distance);
  if (bad.empty()) return {};
  if (bad.size() == 1) {
    const bool is_short = *bad[0]->actual_mm < *bad[0]->nominal_mm;
    return named("distance", printable(bad[0]->name)) +
           (is_short ? " is too short" : " is too long");
  }
  std::vector<std::string> names;
  for (const DistanceResult* distance : bad)
    names.push_back(printable(distance->name));
  return names_or_count("distance", names, 3) + " are not as planned";
}

std::string forms_clause(const Inspection& inspection) {
  std::vector<FormResult> bad;
  for (const FormResult& form : inspection.verdict.forms)
    if (form.outcome == Outcome::Fail) bad.push_back(form);
  if (bad.empty()) return {};
  if (bad.size() > 1) return form_names(bad) + " are not as planned";
  return form_names(bad) + " " + form_fault(bad.front());
}

std::string slots_clause(const Inspection& inspection) {
  std::vector<SlotResult> bad;
  for (const SlotResult& slot : inspection.verdict.slots)
    if (slot.outcome == Outcome::Fail) bad.push_back(slot);
  if (bad.empty()) return {};
  if (bad.size() > 1) return slot_names(bad) + several_fail(absent_among(bad) == bad.size());
  const int decimals = std::max(1, length_decimals(inspection) - 1);
  return slot_names(bad) + " " +
         slot_fault(bad.front(), slot_check_of(inspection.plan, bad.front().name), decimals);
}

/// @param of_feature  of those that the line of a hole, pin or slot tells, or of the others
std::string regions_clause(const Inspection& inspection, bool of_feature) {
  std::size_t count = 0;
  for (const Region& region : inspection.verdict.regions)
    count += region.outcome == Outcome::Fail && region.of_feature == of_feature &&
                     !is_told_with_larger(inspection.verdict.regions, region)
                 ? 1
                 : 0;
  if (count == 0) return {};
  const std::string places = count_words(count) + (count == 1 ? " place stands" : " places stand");
  if (!inspection.plan.zones.empty()) return places + " outside the band allowed there";
  return places + " outside " + band_words(inspection.plan.band, length_decimals(inspection));
}

/// Holes and slots that the plan does not name.
std::string others_clause(const Inspection& inspection) {
  const std::size_t holes = absent_among(inspection.verdict.other_holes);
  const std::size_t slots = absent_among(inspection.verdict.other_slots);
  const std::size_t count = holes + slots;
  if (count == 0) return {};
  const std::string what = slots == 0 ? "drawn hole" : holes == 0 ? "drawn slot" : "drawn opening";
  return count_words(count) + " " + what + (count == 1 ? " is closed" : "s are closed");
}

std::string fail_sentence(const Inspection& inspection) {
  std::vector<std::string> clauses;
  for (std::string clause :
       {regions_clause(inspection, false), holes_clause(inspection), slots_clause(inspection),
        others_clause(inspection), distances_clause(inspection), forms_clause(inspection)})
    if (!clause.empty()) clauses.push_back(std::move(clause));
  if (clauses.empty()) {
    const std::string walls = regions_clause(inspection, true);
    if (!walls.empty()) return capitalised(walls) + ".";
    const auto& reasons = inspection.verdict.reasons;
    return reasons.empty() ? "The part is not as planned." : printable(reasons.front());
  }
  return capitalised(list_words(clauses, clauses.size())) + ".";
}

/// "the hole", "all three holes and both pins".
std::string all_words(const std::vector<HoleResult>& holes) {
  std::string words;
  for (const RoundKind kind : {RoundKind::Hole, RoundKind::Pin}) {
    const auto count = static_cast<std::size_t>(std::count_if(
        holes.begin(), holes.end(), [&](const HoleResult& hole) { return hole.kind == kind; }));
    if (count == 0) continue;
    if (!words.empty()) words += " and ";
    words += count == 1   ? "the " + round_word(kind)
             : count == 2 ? "both " + round_word(kind) + "s"
                          : "all " + count_words(count) + " " + round_word(kind) + "s";
  }
  return words;
}

std::string pass_sentence(const Inspection& inspection) {
  const std::string within = inspection.plan.zones.empty()
                                 ? band_words(inspection.plan.band, length_decimals(inspection))
                                 : "the bands of the plan";
  std::string sentence = "The surface that was seen is proven to lie inside " + within;
  const auto& holes = inspection.verdict.holes;
  if (!holes.empty())
    sentence += ", and " + all_words(holes) + (holes.size() == 1 ? " is" : " are") + " as planned";
  const std::size_t distances = inspection.verdict.distances.size();
  if (distances == 1) sentence += ", and the distance is within its limits";
  if (distances > 1)
    sentence += ", and " + std::string(distances == 2 ? "both" : "all " + count_words(distances)) +
                " distances are within their limits";
  if (!inspection.verdict.slots.empty())
    sentence += ", and so " + std::string(inspection.verdict.slots.size() == 1 ? "is " : "are ") +
                slot_names(inspection.verdict.slots);
  if (!inspection.verdict.forms.empty())
    sentence += ", and so " + std::string(inspection.verdict.forms.size() == 1 ? "is " : "are ") +
                form_names(inspection.verdict.forms);
  if (inspection.verdict.in_poses.size() > 1)
    sentence += ". It fits in " + count_words(inspection.verdict.in_poses.size()) +
                " poses, and passes in each";
  return sentence + ".";
}

std::string undecided_sentence(const Inspection& inspection) {
  const auto& reasons = inspection.verdict.reasons;
  if (reasons.empty()) return "What was seen is not enough to decide.";
  return capitalised(printable(reasons.front()));
}

std::string sentence_of(const Inspection& inspection) {
  switch (inspection.verdict.outcome) {
    case Outcome::Fail: return fail_sentence(inspection);
    case Outcome::Undecided: return undecided_sentence(inspection);
    case Outcome::Pass:
    case Outcome::Listed: return pass_sentence(inspection);
  }
  return {};
}

}  // namespace

int length_decimals(const Band& band, double uncertainty_mm) {
  const int band_decimals =
      std::max(decimals_written(band.over_mm), decimals_written(band.under_mm));
  return std::clamp(band_decimals + 1, 1, decimals_allowed(uncertainty_mm));
}

int length_decimals(const Inspection& inspection) {
  return length_decimals(inspection.plan.band, inspection.verdict.uncertainty.expanded_mm);
}

std::string band_words(const Band& band, int decimals) {
  // A limit is exact: it keeps all its own digits, whatever a reading is worth.
  const int digits =
      std::max({decimals, decimals_written(band.over_mm), decimals_written(band.under_mm)});
  const std::string over = fixed(band.over_mm, digits), under = fixed(band.under_mm, digits);
  if (over == under) return "\u00b1" + over + " mm";
  return "+" + over + " / \u2212" + under + " mm";
}

std::string axes_words(const Eigen::Vector3d& direction) {
  const double length = direction.norm();
  if (!(length > 0.0)) return {};
  const double least = std::sin(22.5 * kDegree);  // halfway between an axis and a diagonal
  std::string words;
  for (int axis = 0; axis < 3; ++axis) {
    if (std::abs(direction[axis]) < least * length) continue;
    words += (words.empty() ? "" : " ") + axis_word(axis, direction[axis] > 0.0);
  }
  return words;
}

std::string place_words(const Eigen::Vector3d& point_mm, const Eigen::Vector3d& normal,
                        const Box& part) {
  std::string words = "facing " + axes_words(normal);
  const int end = nearest_end(point_mm, normal, part);
  if (end >= 0) {
    const bool positive = point_mm[end] > part.center_mm()[end];
    words += ", near the " + axis_word(end, positive) + " end";
  }
  return words;
}

std::string point_words(const Eigen::Vector3d& point_mm) {
  const auto number = [](double value) {
    return (value < -0.05 ? "\u2212" : "") + fixed(std::abs(value), 1);
  };
  return "X " + number(point_mm.x()) + ", Y " + number(point_mm.y()) + ", Z " +
         number(point_mm.z());
}

std::string area_words(double area_mm2) {
  if (area_mm2 < 9.95) return fixed(area_mm2, 1) + " mm\u00b2";
  return grouped(std::llround(area_mm2)) + " mm\u00b2";
}

std::string percent_words(double share) {
  if (!std::isfinite(share)) return "\u2013";
  const double percent = 100.0 * share;
  if (percent <= 0.0 || percent >= 100.0) return fixed(percent, 0) + " %";
  int decimals = 0;
  const auto rounds_to_an_end = [&] {
    const double scale = std::pow(10.0, decimals);
    const double rounded = std::round(percent * scale) / scale;
    return rounded <= 0.0 || rounded >= 100.0;
  };
  while (decimals < 2 && rounds_to_an_end())
    ++decimals;
  if (rounds_to_an_end()) return percent < 50.0 ? "under 0.01 %" : "over 99.99 %";
  return fixed(percent, decimals) + " %";
}

std::string date_words(const std::string& iso_date) {
  static const std::array<const char*, 12> kMonths = {"Jan", "Feb", "Mar", "Apr", "May", "Jun",
                                                      "Jul", "Aug", "Sep", "Oct", "Nov", "Dec"};
  if (iso_date.size() != 10 || iso_date[4] != '-' || iso_date[7] != '-') return iso_date;
  const auto month = parse_double(iso_date.substr(5, 2));
  const auto day = parse_double(iso_date.substr(8, 2));
  if (!month || !day || !(*month >= 1.0 && *month <= 12.0)) return iso_date;
  return fixed(*day, 0) + " " + kMonths[static_cast<std::size_t>(*month) - 1] + " " +
         iso_date.substr(0, 4);
}

std::string list_words(const std::vector<std::string>& names, std::size_t most) {
  std::string words;
  const std::size_t shown = std::min(names.size(), most);
  for (std::size_t i = 0; i < shown; ++i) {
    const bool last = i + 1 == names.size();
    words += (i == 0 ? "" : last ? " and " : ", ") + names[i];
  }
  if (shown < names.size()) words += " and " + std::to_string(names.size() - shown) + " more";
  return words;
}

std::string round_names(const std::vector<const HoleResult*>& holes, std::size_t most) {
  std::string words;
  for (const RoundKind kind : {RoundKind::Hole, RoundKind::Pin}) {
    std::vector<std::string> names;
    for (const HoleResult* hole : holes)
      if (hole->kind == kind) names.push_back(printable(hole->name));
    if (names.empty()) continue;
    words += (words.empty() ? "" : " and ") + names_or_count(round_word(kind), names, most);
  }
  return words;
}

std::string count_words(std::size_t count) {
  static const std::array<const char*, 13> kWords = {"no",   "one",    "two",   "three", "four",
                                                     "five", "six",    "seven", "eight", "nine",
                                                     "ten",  "eleven", "twelve"};
  return count < kWords.size() ? kWords[count] : grouped(static_cast<long long>(count));
}

std::string verdict_word(Outcome outcome) {
  return capitalised(outcome_name(outcome));
}

std::string part_title(const Inspection& inspection) {
  return part_title(inspection.plan, inspection.design.file);
}

std::string part_title(const Plan& plan, const std::string& design_file) {
  if (!plan.title.empty()) return printable(plan.title);
  return design_file.empty() ? "Part without a name" : printable(design_file);
}

std::string maker_words(const Plan& plan) {
  std::string words;
  if (!plan.scanner.empty()) words = "scanned with " + printable(plan.scanner);
  if (!plan.checked_by.empty())
    words += (words.empty() ? "" : ", ") + std::string("checked by ") + printable(plan.checked_by);
  return words;
}

std::string absence_words(Outcome outcome) {
  return outcome == Outcome::Fail ? "is missing" : "may be missing";
}

std::string verdict_sentence(const Inspection& inspection) {
  return with_brief_names(inspection.verdict, sentence_of(inspection));
}

}  // namespace trammel
