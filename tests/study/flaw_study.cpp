#include "study/flaw_study.hpp"

#include <algorithm>
#include <chrono>
#include <cmath>
#include <utility>

#include "study/flaw_naming.hpp"
#include "support/virtual_scanner.hpp"
#include "trammel/base/directions.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/inspect.hpp"

namespace trammel::test {
namespace {

constexpr double kClear = 1.5;  ///< bands, from where on a flaw must be named

Rng stream_of(PlantedKind kind, int number) {
  return Rng(static_cast<std::uint64_t>(number)).stream("scan " + planted_name(kind));
}

ScannerSettings settings_of(const ScanConditions& conditions) {
  ScannerSettings settings;
  settings.points = 40'000;
  settings.noise_mm = conditions.noise_mm;
  settings.stray_share = conditions.stray_share;
  settings.bench = conditions.bench;
  if (conditions.from_above) {
    for (const Eigen::Vector3d& view : spread_directions(40))
      if (view.z() > 0.2) settings.views.push_back(view);
  }
  return settings;
}

/// What the scan has of the part itself, in the part's own frame; 3 × #P. Neither the bench that a
/// face lies on nor the wall that ends at it shows anything of that face.
struct ShownPoints {
  Eigen::Matrix3Xd points_mm, normals;
};

ShownPoints shown_by(const VirtualScan& scan) {
  const auto count = static_cast<Eigen::Index>(scan.on_part);
  return {scan.T_design_scan * scan.scan.points_mm.leftCols(count),
          scan.T_design_scan.linear() * scan.scan.normals.leftCols(count)};
}

/// Sprayed, and with the normals left out where the conditions say so.
void spray_and_strip(VirtualScan& scan, const ScanConditions& conditions) {
  if (conditions.coating_mm > 0.0) scan.scan.points_mm += conditions.coating_mm * scan.scan.normals;
  if (!conditions.normals) scan.scan.normals.resize(3, 0);
}

/// Of the hole as made (ISO 1101).
double made_position_mm(const PlantedPart& part) {
  const PartHole& drawn = part.recipe.holes[static_cast<std::size_t>(part.hole)];
  return 2.0 * (part.made_hole.at_mm - drawn.at_mm).norm();
}

bool hole_is_out(const PlantedPart& part) {
  if (part.plan.holes.empty()) return false;
  const HoleCheck& check = part.plan.holes.front();
  const double position_mm = made_position_mm(part);
  const double diameter_mm = part.made_hole.diameter_mm;
  return position_mm > *check.position_mm || diameter_mm < check.diameter_mm->low_mm ||
         diameter_mm > check.diameter_mm->high_mm;
}

/// How far the planned hole is from its limits, beyond them or within; infinite without a plan.
double hole_clearance_mm(const PlantedPart& part) {
  if (part.plan.holes.empty() || part.kind == PlantedKind::MissingHole) return HUGE_VAL;
  const HoleCheck& check = part.plan.holes.front();
  const double position_mm = made_position_mm(part);
  const double diameter_mm = part.made_hole.diameter_mm;
  return std::min({std::abs(position_mm - *check.position_mm),
                   std::abs(diameter_mm - check.diameter_mm->low_mm),
                   std::abs(diameter_mm - check.diameter_mm->high_mm)});
}

/// Of the real part, against the design's frame.
struct Held {
  Eigen::Isometry3d by_check, kindest;
};

PartTruth truth_of(const PlantedPart& part, const Held& held, double spacing_mm) {
  const double limit = part.plan.band.over_mm, least = part.plan.least_area_mm2;
  const double kindest = part.surface.area_beyond(held.kindest, limit);
  const double as_laid = part.surface.area_beyond(held.by_check, limit);
  if (part.of_kind || hole_is_out(part) || kindest > least) return PartTruth::Bad;
  const double surely = least - 2.0 * spacing_mm * std::sqrt(least);
  return std::max(kindest, as_laid) < std::max(0.25 * least, surely) ? PartTruth::Good
                                                                     : PartTruth::Either;
}

/// The scan has a point on the sample's own face, within 1.25 mm along it.
bool is_shown(const TrueSurface& surface, Eigen::Index sample, const ShownPoints& shown,
              double noise_mm) {
  constexpr double kBeside_mm = 1.25, kLooksItsWay = 0.2;
  const Eigen::Vector3d at = surface.real_mm.col(sample), normal = surface.normal.col(sample);
  for (Eigen::Index i = 0; i < shown.points_mm.cols(); ++i) {
    const Eigen::Vector3d off = shown.points_mm.col(i) - at;
    if (off.squaredNorm() > kBeside_mm * kBeside_mm ||
        shown.normals.col(i).dot(normal) < kLooksItsWay)
      continue;
    if (std::abs(off.dot(normal)) < 4.0 * noise_mm + 0.1) return true;
  }
  return false;
}

/// Area beyond the limit that the scan shows, on the proud or on the shy side, whichever is more.
double area_shown_beyond(const PlantedPart& part, const Eigen::Isometry3d& held,
                         const ShownPoints& shown, double noise_mm) {
  const Eigen::VectorXd off = part.surface.deviations(held);
  double proud = 0.0, shy = 0.0;
  for (Eigen::Index i = 0; i < off.size(); ++i) {
    if (std::abs(off[i]) <= part.plan.band.over_mm || part.surface.area_mm2[i] <= 0.0) continue;
    if (!is_shown(part.surface, i, shown, noise_mm)) continue;
    (off[i] > 0.0 ? proud : shy) += part.surface.area_mm2[i];
  }
  return std::max(proud, shy);
}

Naming naming_of(const PlantedPart& part, const Inspection& check, double level_mm) {
  if (part.kind == PlantedKind::None)
    return check.verdict.flaws.empty() ? Naming::NotAsked : Naming::Wrong;
  const bool of_hole = part.kind == PlantedKind::HoleSize || part.kind == PlantedKind::HoleOff;
  const double size = of_hole ? std::abs(part.size_mm) : level_mm;
  if (!part.of_kind && size < kClear * part.plan.band.over_mm) return Naming::NotAsked;
  if (is_named(part, check.verdict)) return Naming::Right;
  const bool by_flaw = !part.of_kind && !of_hole;
  return by_flaw && !check.verdict.flaws.empty() ? Naming::Wrong : Naming::Nothing;
}

/// Reasons that speak of places without points.
bool tells_of_unseen(const Verdict& verdict) {
  const auto says = [&](const char* words) {
    return std::any_of(
        verdict.reasons.begin(), verdict.reasons.end(),
        [&](const std::string& reason) { return reason.find(words) != std::string::npos; });
  };
  return says("Nothing was scanned") || says("seen from neither side") || says("was not seen") ||
         says(" was seen");
}

Doubt doubt_of(const Inspection& check, const ScanConditions& conditions, double clear_by_mm) {
  if (check.verdict.outcome != Outcome::Undecided) return Doubt::None;
  if (!check.alignment.is_sure()) return Doubt::Pose;
  if (conditions.from_above || conditions.bench || tells_of_unseen(check.verdict)) {
    return Doubt::Unseen;
  }
  const bool near = clear_by_mm < 2.0 * check.verdict.uncertainty.expanded_mm;
  return near ? Doubt::NearLimit : Doubt::Needless;
}

std::string truth_name(PartTruth truth) {
  return truth == PartTruth::Good ? "good" : truth == PartTruth::Bad ? "bad" : "either way";
}

std::string log_of(const PlantedPart& part, const ScanConditions& conditions,
                   const Inspection& check, const FlawResult& result) {
  std::string out =
      part.words + "; " + conditions.words() + ": " + truth_name(result.truth) + " (" +
      fixed(result.level_mm, 3) + "), " + outcome_name(result.outcome) + ", U " +
      fixed(result.expanded_mm, 3) + (result.false_pass ? ", FALSE PASS" : "") +
      (result.hidden ? ", passed unseen" : "") + (result.false_fail ? ", FALSE FAIL" : "") +
      (result.doubt == Doubt::Needless ? ", needless" : "") +
      (result.naming == Naming::Wrong     ? ", WRONG NAME"
       : result.naming == Naming::Nothing ? ", NO NAME"
       : result.naming == Naming::Right   ? ", named"
                                          : "") +
      "\n";
  for (std::size_t i = 0; i < std::min<std::size_t>(3, check.verdict.reasons.size()); ++i)
    out += "    " + check.verdict.reasons[i] + "\n";
  for (const Flaw& flaw : check.verdict.flaws)
    out += "    * " + fixed(flaw.share, 2) + " " + flaw.words + "\n";
  return out;
}

}  // namespace

std::string ScanConditions::words() const {
  return "noise " + fixed(noise_mm, 2) + (normals ? "" : ", no normals") +
         (from_above ? ", from above" : "") + (bench ? ", bench" : "") +
         (stray_share > 0.0 ? ", strays" : "") + (coating_mm > 0.0 ? ", sprayed" : "");
}

ScanConditions conditions_of(PlantedKind kind, int number) {
  Rng rng = stream_of(kind, number).stream("conditions");
  ScanConditions out;
  out.noise_mm = rng.uniform(0.02, 0.08);
  out.normals = rng.uniform() < 0.75;
  out.from_above = rng.uniform() < 0.2;
  out.bench = rng.uniform() < 0.25;
  out.stray_share = rng.uniform() < 0.3 ? rng.uniform(0.01, 0.05) : 0.0;
  out.coating_mm = rng.uniform() < 0.25 ? 0.02 : 0.0;
  return out;
}

FlawResult try_flaw(PlantedKind kind, int number) {
  PlantedPart part = planted_part(kind, number);
  const ScanConditions conditions = conditions_of(kind, number);
  part.plan.coating_mm = conditions.coating_mm;
  if (conditions.from_above || conditions.bench) part.plan.least_coverage = 0.4;
  VirtualScan scan =
      scan_of(part.real, settings_of(conditions), stream_of(kind, number).stream("scanner"));
  const ShownPoints shown = shown_by(scan);
  spray_and_strip(scan, conditions);
  Design design;
  design.mesh = part.design;
  design.health.closed = true;
  RawScan source;
  source.scan = std::move(scan.scan);
  const auto start = std::chrono::steady_clock::now();
  const Inspection check = inspect(std::move(design), std::move(source), part.plan,
                                   {"test", "2026-01-01", "trammel check"});
  const std::chrono::duration<double> took = std::chrono::steady_clock::now() - start;

  FlawResult result;
  result.seconds = took.count();
  result.outcome = check.verdict.outcome;
  result.expanded_mm = check.verdict.uncertainty.expanded_mm;
  const double limit = part.plan.band.over_mm, least = part.plan.least_area_mm2;
  const Held held{check.alignment.T_design_scan * scan.T_design_scan.inverse(),
                  kindest_motion(part.surface, limit, least)};
  result.truth = truth_of(part, held, check.tidy.spacing_mm);
  result.level_mm = part.surface.level_mm(held.by_check, least);
  const bool beyond = part.surface.area_beyond(held.by_check, limit) > least;
  const bool passed_bad =
      result.outcome == Outcome::Pass && (beyond || result.truth == PartTruth::Bad);
  result.false_pass =
      passed_bad && (part.of_kind || hole_is_out(part) ||
                     area_shown_beyond(part, held.by_check, shown, conditions.noise_mm) > least);
  result.hidden = passed_bad && !result.false_pass;
  result.false_fail = result.outcome == Outcome::Fail && result.truth == PartTruth::Good;
  const double clear_by =
      part.of_kind ? HUGE_VAL
                   : std::min(std::abs(result.level_mm - limit), hole_clearance_mm(part));
  result.doubt = doubt_of(check, conditions, clear_by);
  if (result.doubt != Doubt::Pose) result.naming = naming_of(part, check, result.level_mm);
  result.log = log_of(part, conditions, check, result);
  return result;
}

void FlawTally::add(const FlawResult& result) {
  ++parts;
  ++(result.truth == PartTruth::Good ? good : result.truth == PartTruth::Bad ? bad : either);
  ++(result.outcome == Outcome::Pass   ? passed
     : result.outcome == Outcome::Fail ? failed
                                       : undecided);
  false_pass += result.false_pass ? 1 : 0;
  hidden += result.hidden ? 1 : 0;
  false_fail += result.false_fail ? 1 : 0;
  pose += result.doubt == Doubt::Pose ? 1 : 0;
  unseen += result.doubt == Doubt::Unseen ? 1 : 0;
  near_limit += result.doubt == Doubt::NearLimit ? 1 : 0;
  needless += result.doubt == Doubt::Needless ? 1 : 0;
  right += result.naming == Naming::Right ? 1 : 0;
  wrong += result.naming == Naming::Wrong ? 1 : 0;
  nothing += result.naming == Naming::Nothing ? 1 : 0;
}

}  // namespace trammel::test
