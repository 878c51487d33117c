#include "trammel/judge/advice.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/numbers.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

/// A scale counts when it is proven (5 σ) and moves the part's ends by a fifth of the tighter
/// limit.
bool scale_matters(const Alignment& alignment, const Plan& plan, double diagonal_mm) {
  const double off = std::abs(alignment.scale.uniform - 1.0);
  const double tighter = std::min(plan.band.over_mm, plan.band.under_mm);
  return alignment.scale.standard_error > 0.0 && off > 5.0 * alignment.scale.standard_error &&
         0.5 * off * diagonal_mm > 0.2 * tighter;
}

std::string scale_advice(const Alignment& alignment) {
  const double percent = 100.0 * (alignment.scale.uniform - 1.0);
  const std::string size = fixed(std::abs(percent), 2) + " %";
  const std::string print_at = fixed(100.0 / alignment.scale.uniform, 2) + " %";
  return percent < 0.0 ? "The part is " + size +
                             " too small overall: if it was printed, print it again at " + print_at
                       : "The part is " + size +
                             " too large overall: if it was printed, print it again at " + print_at;
}

std::string hole_advice(const HoleResult& hole) {
  const double off = hole.offset_mm->norm();
  const double opened = hole.nominal_diameter_mm + 2.0 * off;
  return "Hole " + hole.name + " sits " + fixed(off, 2) + " mm towards " +
         direction_words(*hole.offset_mm) + ": move it, or, where play is allowed, open it to " +
         fixed(opened, 1) + " mm so that it clears its place";
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

/// The wall of a hole that is off place or size shows as regions too; the hole's own line covers
/// them.
bool belongs_to_a_failed_hole(const Region& region, const std::vector<HoleResult>& holes) {
  constexpr double kRim_mm = 2.0;
  return std::any_of(holes.begin(), holes.end(), [&](const HoleResult& hole) {
    const double off = hole.offset_mm ? hole.offset_mm->norm() : 0.0;
    return hole.outcome == Outcome::Fail && (region.center_mm - hole.nominal_mm).norm() <
                                                0.5 * hole.nominal_diameter_mm + off + kRim_mm;
  });
}

/// Regions of one cause need one action: the worst two are named.
void add_region_advice(const Verdict& verdict, std::vector<std::string>& out) {
  int named = 0;
  for (const Region& region : verdict.regions) {
    if (region.outcome != Outcome::Fail || named == 2) continue;
    if (belongs_to_a_failed_hole(region, verdict.holes)) continue;
    out.push_back(region_advice(region));
    ++named;
  }
  if (named > 0) {
    out.emplace_back(
        "Before heating, bending or grinding a welded or load-bearing part, ask who may: a part "
        "that "
        "has the right shape again may have lost strength");
  }
}

void add_scan_advice(const Verdict& verdict, const Alignment& alignment, const Plan& plan,
                     std::vector<std::string>& out) {
  if (!alignment.found || alignment.ambiguous) {
    out.emplace_back("Scan more sides, features that tell one end from the other among them");
  } else if (verdict.coverage.seen_fraction < plan.least_coverage) {
    out.emplace_back("Scan the hatched sides as well and check again");
  }
  const bool region_open =
      std::any_of(verdict.regions.begin(), verdict.regions.end(),
                  [](const Region& region) { return region.outcome == Outcome::Undecided; });
  if (region_open) {
    out.push_back("Measure the undecided places with an uncertainty well below " +
                  fixed(verdict.uncertainty.expanded_mm, 3) + " mm, or agree on a wider band");
  }
  for (const HoleResult& hole : verdict.holes) {
    if (hole.outcome == Outcome::Undecided && !hole.position_mm) {
      out.push_back("Scan into hole " + hole.name + ", obliquely from both sides");
    }
  }
}

}  // namespace

std::vector<std::string> advice(const Verdict& verdict, const Alignment& alignment,
                                const Plan& plan, double diagonal_mm) {
  std::vector<std::string> out;
  const bool failed = verdict.outcome == Outcome::Fail;
  if (failed && scale_matters(alignment, plan, diagonal_mm)) out.push_back(scale_advice(alignment));
  for (const HoleResult& hole : verdict.holes) {
    if (hole.outcome == Outcome::Fail && hole.offset_mm &&
        hole.offset_mm->norm() > 0.02 * hole.nominal_diameter_mm) {
      out.push_back(hole_advice(hole));
    }
  }
  add_region_advice(verdict, out);
  if (verdict.outcome != Outcome::Pass) add_scan_advice(verdict, alignment, plan, out);
  return out;
}

}  // namespace trammel
