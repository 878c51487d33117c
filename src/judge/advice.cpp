#include "trammel/judge/advice.hpp"

#include <algorithm>
#include <cmath>

#include "conclude.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/judge/hole_advice.hpp"
#include "trammel/judge/hole_meant.hpp"
#include "trammel/judge/region_words.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

constexpr std::size_t kMostFlawLines = 4;

const HoleOpening* opening_of(const Verdict& verdict, const std::string& hole) {
  for (const BoltUp& up : verdict.bolt_ups)
    for (const HoleOpening& opening : up.openings)
      if (opening.hole == hole) return &opening;
  return nullptr;
}

/// "sits 1.00 mm towards +X and is turned by 2.0°", without what makes less than a tenth of how far
/// it is off its place.
std::string lies_words(const SlotResult& slot) {
  const double off = slot.offset_mm->norm(), by_middle = 2.0 * off / *slot.position_mm;
  const std::string sits =
      "sits " + fixed(off, 2) + " mm towards " + direction_words(*slot.offset_mm);
  const std::string turned = "is turned by " + fixed(std::abs(*slot.turn_rad) / kDegree, 1) + "°";
  if (by_middle > 0.9) return sits;
  return by_middle < 0.1 ? turned : sits + " and " + turned;
}

std::string slot_advice(const SlotResult& slot, const SlotCheck& check) {
  if (slot.state == HoleState::Closed) return absent_advice(named("slot", slot.name), true);
  const std::string name = capitalised(named("slot", slot.name));
  const auto out = [](double value, const std::optional<Limits>& limits) {
    if (!limits) return 0.0;
    return value < limits->low_mm ? value - limits->low_mm : std::max(0.0, value - limits->high_mm);
  };
  if (check.position_mm && *slot.position_mm > *check.position_mm) {
    const double play = *slot.position_mm;
    return name + " " + lies_words(slot) + ": move it, or, where play is allowed, open it to " +
           fixed(slot.nominal_width_mm + play, 1) + " × " +
           fixed(slot.nominal_length_mm + play, 1) + " mm so that it clears its place";
  }
  const double wide = out(*slot.width_mm, check.width_mm);
  const double by_length = out(*slot.length_mm, check.length_mm);
  const double worse_one = std::abs(wide) > std::abs(by_length) ? wide : by_length;
  const bool is_width = std::abs(wide) > std::abs(by_length);
  if (worse_one < 0.0)
    return name + " must become at least " + fixed(-worse_one, 2) + " mm " +
           (is_width ? "wider" : "longer") + ": file or mill it open";
  return name + " is at least " + fixed(worse_one, 2) + " mm too " + (is_width ? "wide" : "long") +
         ": fill it and cut it anew, or agree on a wider limit";
}

std::string region_advice(const Region& region) {
  const double beyond = std::abs(region.peak_mm) - region.limit_mm;
  const std::string much = fixed(beyond, decimals_for(region.limit_mm)) + " mm";
  const std::string where =
      "region " + std::to_string(region.id) + " at " + place_words(region.center_mm);
  if (region.kind == RegionKind::Proud) {
    return "Take off or bend back at least " + much + " towards " +
           direction_words(-region.normal) + " in " + where;
  }
  return "Build up or bend out at least " + much + " towards " + direction_words(region.normal) +
         " in " + where;
}

/// By how much at least a distance must change.
std::string distance_advice(const DistanceResult& distance) {
  const bool is_long = *distance.actual_mm > *distance.most_mm;
  const double beyond =
      is_long ? *distance.actual_mm - *distance.most_mm : *distance.least_mm - *distance.actual_mm;
  return capitalised(named("distance", distance.name)) + " must become at least " +
         fixed(beyond, 2) + " mm " + (is_long ? "shorter" : "longer") +
         ": move whichever of its ends can be moved";
}

/// What would bring a face or wall within its limits, as far as its figures tell.
std::string form_advice(const FormResult& form) {
  const std::string name = capitalised(form_name(form.kind)) + " " + form.name;
  const bool below = form.least && *form.actual < *form.least;
  const double beyond = below ? *form.least - *form.actual : *form.actual - *form.most;
  const std::string much = form_figure(beyond, form.kind, form.uncertainty);
  switch (form.kind) {
    case FormKind::Flatness:
      return name + " is at least " + much +
             " too much: bend the face flat, or take off what stands "
             "highest";
    case FormKind::Parallelism:
    case FormKind::Perpendicularity:
      return name + " is at least " + much +
             " too much: bend the face towards its datum's direction, "
             "or take off what stands highest";
    case FormKind::Angle:
      return name + " must become at least " + much + (below ? " wider" : " narrower") +
             ": bend whichever of its legs can be bent";
    case FormKind::Thickness: break;
  }
  return name + (below ? " lacks at least " + much + ": it was made or worn too thin"
                       : " is at least " + much + " too thick: take that off one side");
}

/// Those of the design that the plan does not name.
void add_other_absent(const Verdict& verdict, std::vector<std::string>& out) {
  for (const OtherHole& hole : verdict.other_holes)
    if (is_absent(hole.state))
      out.push_back(absent_advice("the hole drawn at " + place_words(hole.center_mm), false));
  for (const SlotResult& slot : verdict.other_slots)
    if (is_absent(slot.state))
      out.push_back(absent_advice("the slot drawn at " + place_words(slot.nominal_mm), true));
}

/// Regions of one cause need one action: the worst two are named.
/// @param missing  of what is missing, or of what is off
void add_region_advice(const Verdict& verdict, bool missing, std::vector<std::string>& out) {
  std::vector<const Region*> named;
  for (const Region& region : verdict.regions) {
    const bool is_missing = region.absence != Absence::None;
    if (region.outcome != Outcome::Fail || region.explained || region.of_feature ||
        is_missing != missing || is_told_with_larger(verdict.regions, region))
      continue;
    if (std::any_of(named.begin(), named.end(),
                    [&](const Region* other) { return is_same_hole(*other, region); }))
      continue;
    if (named.size() == 2) return;
    out.push_back(is_missing ? absence_advice(region) : region_advice(region));
    named.push_back(&region);
  }
}

/// What went wrong with the part as a whole comes first: it may explain all the rest.
void add_flaw_advice(const Verdict& verdict, std::vector<std::string>& out) {
  for (std::size_t i = 0; i < std::min(verdict.flaws.size(), kMostFlawLines); ++i)
    out.push_back(verdict.flaws[i].action);
}

/// Shaping a part, other than printing it again.
bool asks_for_force(const Verdict& verdict) {
  const auto bends = [](const Flaw& flaw) {
    return flaw.kind != FlawKind::Shrink && flaw.kind != FlawKind::Skin;
  };
  const auto fails = [&](const Region& region) {
    return region.outcome == Outcome::Fail && !region.explained && !region.of_feature;
  };
  return std::any_of(verdict.flaws.begin(), verdict.flaws.end(), bends) ||
         std::any_of(verdict.regions.begin(), verdict.regions.end(), fails) ||
         std::any_of(verdict.distances.begin(), verdict.distances.end(),
                     [](const DistanceResult& one) { return one.outcome == Outcome::Fail; }) ||
         std::any_of(verdict.forms.begin(), verdict.forms.end(),
                     [](const FormResult& one) { return one.outcome == Outcome::Fail; });
}

/// Where the plan asks for what the design does not have, no scan helps.
std::string mend_advice(const std::string& name, const std::vector<std::string>& reasons) {
  return "Mend " + name + " in the plan" + (reasons.empty() ? "" : ": " + reasons.front());
}

std::string form_scan_advice(const FormResult& form) {
  const std::string name = form_name(form.kind) + " " + form.name;
  if (!form.most) return mend_advice(name, form.reasons);
  if (form.conformity) return "Measure " + name + " by hand as well";
  if (form.kind == FormKind::Thickness) return "Scan both sides of the wall of " + name;
  return "Scan all of " + std::string(form.other_mm ? "both faces" : "the face") + " of " + name;
}

/// Not measured for want of a pose: that is to be settled first, and no scan into it would help.
bool waits_for_pose(const HoleResult& hole, const Alignment& alignment) {
  const std::string doubt = conclusions::doubt_of_place(alignment, round_word(hole.kind));
  return !doubt.empty() && !hole.reasons.empty() && hole.reasons.front() == doubt;
}

void add_scan_advice(const Verdict& verdict, const Alignment& alignment, const Plan& plan,
                     std::vector<std::string>& out) {
  if (alignment.torn && plan.method != AlignMethod::Datums) {
    out.emplace_back(
        "If it may be bowed or bent, say what it is mounted by: three [[datum]] in the plan, with "
        "align.method = \"datums\". No scan tells which stretch of it is the good one");
  }
  if (!alignment.found || alignment.ambiguous) {
    out.emplace_back("Scan more sides, features that tell one end from the other among them");
    if (alignment.found && plan.method != AlignMethod::Pairs) {
      out.emplace_back(
          "Or say which way round it lies: three [[pair]] in the plan, places of the design and "
          "where the scan has them, with align.method = \"pairs\"");
    }
  } else if (!alignment.torn && (!alignment.converged || !alignment.free_directions.empty() ||
                                 !alignment.doubts.empty())) {
    out.emplace_back(
        "Scan more of what holds the part: edges, holes and faces that look other ways than those "
        "that were seen");
  } else if (verdict.coverage.seen_fraction < plan.least_coverage) {
    out.emplace_back("Scan the hatched sides as well and check again");
  }
  const auto is_open = [&](const Region& region) {
    return region.outcome == Outcome::Undecided && !is_told_with_larger(verdict.regions, region);
  };
  const auto is_small = [&](const Region& region) { return region.adds_up && is_open(region); };
  const auto& regions = verdict.regions;
  const auto small = std::count_if(regions.begin(), regions.end(), is_small);
  if (small > 0)
    out.emplace_back(
        "Look at the small places that stand out, for a burr or a splash: take it off and scan "
        "again");
  if (std::count_if(regions.begin(), regions.end(), is_open) > small && !alignment.torn) {
    out.push_back("Measure the undecided places with an uncertainty well below " +
                  fixed(verdict.uncertainty.expanded_mm, 3) + " mm, or agree on a wider band");
  }
  for (const HoleResult& hole : verdict.holes) {
    if (hole.outcome != Outcome::Undecided) continue;
    const bool is_meant = hole.reasons.empty() || hole.reasons.front().rfind(kPointGiven, 0) != 0;
    if (hole.nominal_diameter_mm <= 0.0 || !is_meant) {
      out.push_back(mend_advice(named(round_word(hole.kind), hole.name), hole.reasons));
    } else if (is_absent(hole.state)) {
      out.push_back(hole_advice(hole, nullptr, nullptr).front());
    } else if (is_not_through(hole)) {
      out.push_back("See that hole " + hole.name + " goes all the way through: drill it on");
    } else if ((!hole.position_mm || hole.rims == 1) && !waits_for_pose(hole, alignment)) {
      out.push_back(hole.kind == RoundKind::Pin
                        ? "Scan " + named("pin", hole.name) + " from all around it"
                        : "Scan into " + named("hole", hole.name) + ", obliquely from both sides");
    }
  }
  for (const SlotResult& slot : verdict.slots) {
    if (slot.outcome != Outcome::Undecided) continue;
    if (slot.nominal_length_mm <= 0.0)
      out.push_back(mend_advice(named("slot", slot.name), slot.reasons));
    else if (slot.state == HoleState::Closed)
      out.push_back(absent_advice(named("slot", slot.name), true));
    else if (slot.state != HoleState::Measured || slot.rims == 1)
      out.push_back("Scan into slot " + slot.name + ", obliquely from both sides");
  }
  for (const DistanceResult& distance : verdict.distances) {
    if (distance.outcome != Outcome::Undecided) continue;
    const std::string name = named("distance", distance.name);
    if (!distance.drawn_mm)
      out.push_back(mend_advice(name, distance.reasons));
    else
      out.push_back(distance.actual_mm ? "Measure " + name + " by hand as well"
                                       : "Scan both ends of " + name + ", all of each face");
  }
  for (const FormResult& form : verdict.forms)
    if (form.outcome == Outcome::Undecided && !form.reasons.empty())
      out.push_back(form_scan_advice(form));
}

}  // namespace

std::vector<std::string> advice(const Verdict& verdict, const Alignment& alignment,
                                const Plan& plan) {
  std::vector<std::string> out;
  const bool failed = verdict.outcome == Outcome::Fail;
  add_region_advice(verdict, true, out);  // a part without it has no use for the rest
  if (failed) add_flaw_advice(verdict, out);
  for (const HoleResult& hole : verdict.holes) {
    if (hole.outcome != Outcome::Fail) continue;
    const auto lines = hole_advice(hole, check_of(plan, hole.name), opening_of(verdict, hole.name));
    out.insert(out.end(), lines.begin(), lines.end());
  }
  for (const SlotResult& slot : verdict.slots) {
    const SlotCheck* check = slot_check_of(plan, slot.name);
    if (slot.outcome == Outcome::Fail && check != nullptr) out.push_back(slot_advice(slot, *check));
  }
  add_other_absent(verdict, out);
  for (const BoltUp& up : verdict.bolt_ups) {
    if (up.outcome == Outcome::Fail && up.is_another_pattern) {
      out.push_back("See that the places in " + up.mate +
                    " are in the order of the holes and that the face given lies on it");
    }
    for (const HoleOpening& opening : up.openings) {
      const HoleCheck* check = check_of(plan, opening.hole);
      const bool is_said =
          std::any_of(verdict.holes.begin(), verdict.holes.end(), [&](const HoleResult& hole) {
            return hole.name == opening.hole && is_to_move(hole, check);
          });
      if (!is_said)
        out.push_back("So that all bolts go through, " +
                      opening_words(opening, named("hole", opening.hole), check));
    }
  }
  for (const DistanceResult& distance : verdict.distances)
    if (distance.outcome == Outcome::Fail) out.push_back(distance_advice(distance));
  for (const FormResult& form : verdict.forms)
    if (form.outcome == Outcome::Fail) out.push_back(form_advice(form));
  add_region_advice(verdict, false, out);
  if (failed && !out.empty() && asks_for_force(verdict)) {
    out.emplace_back(
        "Before heating, bending or grinding a welded or load-bearing part ask who may: it can "
        "lose strength");
  }
  if (verdict.outcome != Outcome::Pass) add_scan_advice(verdict, alignment, plan, out);
  return out;
}

}  // namespace trammel
