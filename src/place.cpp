#include "place.hpp"

#include <algorithm>
#include <iterator>
#include <optional>
#include <utility>

#include "pose_judge.hpp"
#include "trammel/align/align.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/compare/compare.hpp"
#include "trammel/geometry/own_frame.hpp"
#include "trammel/geometry/seen_from_outside.hpp"
#include "trammel/read/choose_units.hpp"
#include "trammel/tidy/tidy.hpp"

namespace trammel {
namespace {

using Eigen::Isometry3d;

std::vector<Zone> zones_named(const std::vector<std::string>& names, const Plan& plan) {
  std::vector<Zone> zones;
  std::copy_if(plan.zones.begin(), plan.zones.end(), std::back_inserter(zones),
               [&](const Zone& zone) {
                 return std::find(names.begin(), names.end(), zone.name) != names.end();
               });
  return zones;
}

AlignSettings align_settings(const Plan& plan, const UnitChoice& units,
                             const Isometry3d& T_own_file) {
  AlignSettings out;
  out.method = plan.method;
  out.on = zones_named(plan.fit_on, plan);
  out.off = zones_named(plan.fit_off, plan);
  for (const PointPair& pair : plan.pairs)
    out.pairs.push_back({pair.design_mm, units.mm_per_unit * (T_own_file * pair.scan)});
  out.refine = plan.refine;
  out.datums = plan.datums;
  out.datum_fit = plan.datum_fit;
  out.least_seen = plan.least_coverage;
  out.coating_mm = plan.coating_mm;
  return out;
}

TidySettings tidy_settings(const Plan& plan) {
  TidySettings out;
  out.thinning.coarsest_mm = pooling_radius_mm(plan) / 3.0;
  return out;
}

/// The scan without its matting spray, as far as the pose tells which side is out.
Scan without_coating(Scan scan, const SurfaceIndex& design, const Isometry3d& T_design_scan,
                     double coating_mm) {
  const Eigen::Matrix3Xd normals = facing_normals(scan, design, T_design_scan);
  scan.points_mm -= coating_mm * (T_design_scan.linear().transpose() * normals);
  return scan;
}

/// @param raw  in the file's unit; millions of points are not copied for nothing
Tidied tidied_in(const UnitChoice& units, const Scan& raw, const Plan& plan) {
  const TidySettings thoroughness = tidy_settings(plan);
  return units.mm_per_unit == 1.0 ? tidy(raw, thoroughness) : tidy(in_mm(raw, units), thoroughness);
}

/// Aligns the scan, taken to be in one unit. A coat on one side alone would push the part off: it
/// is laid once with it, to know which side is out, and then without.
/// @param tidied  in its own frame, as `T_own_file` laid it
Placed place_in(const UnitChoice& units, SmallPart small_part, Tidied tidied,
                const Isometry3d& T_own_file, const SurfaceIndex& design, const Plan& plan) {
  Placed out;
  out.units = units;
  out.scan = std::move(tidied.scan);
  out.tidy = tidied.counts;
  AlignSettings settings = align_settings(plan, units, T_own_file);
  settings.small_part = small_part;
  const Rng rng = Rng(kSeed).stream("align");
  out.alignment = align(out.scan, design, settings, rng);
  if (plan.coating_mm == 0.0 || !out.alignment.found) return out;
  settings.coating_mm = 0.0;
  out.alignment =
      align(without_coating(out.scan, design, out.alignment.T_design_scan, plan.coating_mm), design,
            settings, rng);
  return out;
}

/// Where no pose was found in the unit that the plan gives, and the sizes say why.
void doubt_given_unit(Placed& placed, const SurfaceIndex& design, const Plan& plan) {
  constexpr double kAnotherUnit = 2.0;  // cm and inches, the nearest two, are 2.54 apart
  const double scan_mm = bounding_box(placed.scan.points_mm).diagonal_mm();
  const double design_mm = bounding_box(design.mesh().vertices_mm).diagonal_mm();
  const double ratio = scan_mm / design_mm;
  if (placed.alignment.found || plan.scan_units == Unit::Auto ||
      (ratio < kAnotherUnit && ratio > 1.0 / kAnotherUnit)) {
    return;
  }
  placed.alignment.doubts.push_back("taken to be in " + placed.units.unit +
                                    ", as the plan says, the scan measures " + fixed(scan_mm, 1) +
                                    " mm and the design " + fixed(design_mm, 1) + " mm");
}

/// The part would not fit the design in any other unit: a plane fits in all.
bool settles_unit(const Alignment& alignment) {
  return alignment.found && !alignment.loose;
}

/// A pose that was found beats none; then the one that explains more of the scan.
bool better(const Alignment& a, const Alignment& b) {
  if (settles_unit(a) != settles_unit(b)) return settles_unit(a);
  if (a.found != b.found) return a.found;
  return a.overlap > b.overlap;
}

}  // namespace

ScanInOwnFrame in_own_frame(Scan raw, const Mesh& design, const Plan& plan) {
  ScanInOwnFrame out;
  out.T_own_file = Isometry3d::Identity();
  if (plan.method != AlignMethod::AsScanned) out.T_own_file = own_frame(raw.points_mm);
  move_scan(raw, out.T_own_file);
  out.units = plausible_units(raw, design, plan.scan_units);
  out.tidied = tidied_in(out.units.front(), raw, plan);
  if (out.units.size() > 1) out.raw = std::move(raw);  // the most memory of a large scan
  return out;
}

std::optional<SurfaceIndex> outside_of(const Mesh& design, const SurfaceCells* uncut) {
  std::optional<SurfaceIndex> out;
  if (auto seen = seen_from_outside(design, uncut)) out.emplace(std::move(*seen));
  return out;
}

PlacedInOwnFrame place_in_own_frame(ScanInOwnFrame scan, const SurfaceIndex& lies_on,
                                    const Plan& plan) {
  std::optional<Placed> best;
  const auto tidied_again = [&](const UnitChoice& unit) {
    if (!best) return std::move(scan.tidied);
    if (best->units.unit == unit.unit) return Tidied{best->scan, best->tidy};
    return tidied_in(unit, scan.raw, plan);
  };
  const auto try_units = [&](SmallPart small_part) {
    for (const UnitChoice& unit : scan.units) {
      if (best && settles_unit(best->alignment)) return;
      Placed other = place_in(unit, small_part, tidied_again(unit), scan.T_own_file, lies_on, plan);
      if (!best || better(other.alignment, best->alignment)) best = std::move(other);
    }
  };
  try_units(SmallPart::Never);
  // Only where the design explains little of the scan in every unit may it be a small part of it.
  if (best->alignment.overlap < AlignSettings().least_overlap) try_units(SmallPart::Only);
  if (settles_unit(best->alignment)) best->units.certain = true;
  doubt_given_unit(*best, lies_on, plan);
  scan.T_own_file.translation() *= best->units.mm_per_unit;
  return {std::move(*best), scan.T_own_file};
}

void set_back(Scan& scan, Alignment& alignment, const Isometry3d& T_own_scan) {
  move_scan(scan, T_own_scan.inverse());
  alignment.T_design_scan = alignment.T_design_scan * T_own_scan;
  for (OtherPose& other : alignment.others)
    other.T_design_scan = other.T_design_scan * T_own_scan;
  for (PairResidual& pair : alignment.pairs)
    pair.scan_mm = T_own_scan.inverse() * pair.scan_mm;
}

Placed place(const Scan& raw, const SurfaceIndex& design, const Plan& plan) {
  const auto outside = outside_of(design.mesh());
  PlacedInOwnFrame own =
      place_in_own_frame(in_own_frame(raw, design.mesh(), plan), outside ? *outside : design, plan);
  set_back(own.placed.scan, own.placed.alignment, own.T_own_scan);
  return std::move(own.placed);
}

}  // namespace trammel
