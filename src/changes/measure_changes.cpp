#include "trammel/changes/measure_changes.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>
#include <vector>

#include "trammel/base/numbers.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/changes/change_regions.hpp"
#include "trammel/changes/core_points.hpp"
#include "trammel/changes/enclosed_surfaces.hpp"
#include "trammel/changes/m3c2.hpp"
#include "trammel/changes/told_places.hpp"
#include "trammel/geometry/normals.hpp"
#include "trammel/geometry/orient_normals.hpp"
#include "trammel/model/words.hpp"

namespace trammel {
namespace {

constexpr double kFacing = 0.5;  // surfaces turned more than 60° apart are not the same one
constexpr int kNormalPoints = 16;

/// Normals of all points: the scan's own, or estimated; of arbitrary sign then.
Eigen::Matrix3Xd normals_of(const Scan& scan, const PointIndex& index, bool sides_known) {
  if (sides_known) return scan.normals;
  return estimate_normals(scan.points_mm, index, kNormalPoints).normals;
}

M3c2Settings settings_of(const ChangeScales& scales, const ScanFit& fit) {
  M3c2Settings out;
  out.cylinder_mm = scales.cylinder_mm;
  out.depth_mm = scales.depth_mm;
  out.least_facing = kFacing;
  out.sides_known = fit.sides_known;
  // Six spreads of the noise, and what a slope of 45° makes of the points' spacing.
  out.layer_gap_mm = std::max(6.0 * fit.noise_mm, 0.5 * scales.cylinder_mm);
  return out;
}

/// The pose's own error and what both scanners read off in common, 1 σ.
double registration_mm(const ScanFit& fit, const ChangesSettings& settings,
                       const Eigen::Vector3d& core, const Eigen::Vector3d& normal) {
  const double scanners = std::sqrt(2.0) * 0.5 * settings.uncertainty_mm;
  return std::hypot(fit.standard_error_mm(core, normal), scanners);
}

CoreState state_of(double change_mm, double detectable_mm, double least_mm) {
  const double size = std::abs(change_mm);
  if (size > detectable_mm && size > least_mm) return CoreState::Changed;
  return size + detectable_mm <= least_mm ? CoreState::Same : CoreState::Unsure;
}

void measure(CorePoints& cores, const Cloud& before, const Cloud& after, const Changes& so_far,
             const M3c2Settings& how) {
  for_each_index(
      static_cast<std::size_t>(cores.size()),
      [&](std::size_t i) {
        const auto at = static_cast<Eigen::Index>(i);
        const Eigen::Vector3d core = cores.points_mm.col(at), normal = cores.normals.col(at);
        const double pose_mm = registration_mm(so_far.fit, so_far.settings, core, normal);
        const auto reading = m3c2(before, after, core, normal, pose_mm, how);
        if (!reading) return;
        cores.change_mm[at] = reading->change_mm;
        cores.detectable_mm[at] = reading->detectable_mm;
        cores.random_mm[at] = reading->random_mm;
        cores.state[i] =
            state_of(reading->change_mm, reading->detectable_mm, so_far.settings.least_mm);
        // Without sides the two faces of a thin sheet are one layer.
        if (!how.sides_known && cores.state[i] == CoreState::Changed && reading->may_be_two_faces())
          cores.state[i] = CoreState::Unsure;
      },
      64);
}

struct NewCores {
  CorePoints all;
  std::vector<std::uint8_t> is_only;  ///< 1 where no old surface lies along the normal
};

NewCores new_cores(const Cloud& before, const Cloud& after, const ChangeScales& scales,
                   const M3c2Settings& how, bool sides_known) {
  NewCores out;
  out.all = spread_core_points(after, scales);
  if (!sides_known)
    out.all.normals = oriented_normals(out.all.points_mm, PointIndex(out.all.points_mm),
                                       std::move(out.all.normals));
  out.is_only.resize(static_cast<std::size_t>(out.all.size()));
  for_each_index(
      out.is_only.size(),
      [&](std::size_t i) {
        const auto at = static_cast<Eigen::Index>(i);
        const auto seen =
            mean_in_cylinder(before, out.all.points_mm.col(at), out.all.normals.col(at), 0.0, how);
        out.is_only[i] = seen ? 0 : 1;
      },
      64);
  return out;
}

CorePoints seen_only_now(const NewCores& cores) {
  const auto kept =
      indices_where(cores.is_only.size(), [&](std::size_t i) { return cores.is_only[i] != 0; });
  CorePoints out;
  out.points_mm = cores.all.points_mm(Eigen::all, kept);
  out.normals = cores.all.normals(Eigen::all, kept);
  out.area_mm2 = cores.all.area_mm2(kept);
  return out;
}

std::vector<std::uint8_t> seen_only_then(const CorePoints& cores) {
  std::vector<std::uint8_t> out;
  for (const CoreState state : cores.state)
    out.push_back(state == CoreState::OnlyOld ? 1 : 0);
  return out;
}

/// What only one scan shows beneath what only the other shows, a sentence each.
/// @param gone  #C, 1 for the old core points that the new scan does not show
std::vector<std::string> proven_by_what_is_enclosed(const Changes& c,
                                                    const std::vector<std::uint8_t>& gone,
                                                    const NewCores& now) {
  std::vector<std::string> out;
  // What two faces tell may be a slot taken for sheet: that proves nothing.
  if (!c.fit.sides_known || c.fit.sides_told_by_sheet) return out;
  const ShownCores then_shown{c.cores, gone}, now_shown{now.all, now.is_only};
  const auto tell = [&](const ShownCores& bare, const ShownCores& full, const char* words) {
    for (const OpenPlace& place : enclosed_surfaces_among(bare, full, c.scales, c.least_area_mm2))
      out.push_back(words + place_words(place.center_mm) + ", " + fixed(place.area_mm2, 0) +
                    " mm² that it covered lie open in the other scan");
  };
  tell(now_shown, then_shown, "what the old scan shows was taken away near ");
  tell(then_shown, now_shown, "what the new scan shows was added near ");
  return out;
}

/// The peak read again at the core points that read most: by paraboloids, and the middle one of
/// three, so that the luckiest of many readings does not make the peak.
void refine_peaks(Changes& out, const Cloud& before, const Cloud& after, const M3c2Settings& how) {
  for (Change& change : out.changes) {
    std::vector<Eigen::Index> members;
    for (Eigen::Index i = 0; i < out.cores.size(); ++i)
      if (out.cores.change[static_cast<std::size_t>(i)] == change.id) members.push_back(i);
    std::stable_sort(members.begin(), members.end(), [&](Eigen::Index a, Eigen::Index b) {
      return std::abs(out.cores.change_mm[a]) > std::abs(out.cores.change_mm[b]);
    });
    if (members.size() > 3) members.resize(3);
    std::vector<double> peaks;
    for (const Eigen::Index at : members) {
      const Eigen::Vector3d core = out.cores.points_mm.col(at), normal = out.cores.normals.col(at);
      const auto plain = m3c2(before, after, core, normal, 0.0, how);
      peaks.push_back(plain ? peak_by_paraboloids(before, after, core, normal, *plain, how)
                            : out.cores.change_mm[at]);
    }
    change.peak_mm = median_of(peaks);
  }
}

void sum_coverage(Changes& out, double new_area_mm2) {
  ChangesCoverage& c = out.coverage;
  c.new_mm2 = new_area_mm2;
  c.only_new_mm2 = out.new_only.area_mm2.sum();
  std::vector<double> detectable;
  for (Eigen::Index i = 0; i < out.cores.size(); ++i) {
    const double area = out.cores.area_mm2[i];
    c.old_mm2 += area;
    switch (out.cores.state[static_cast<std::size_t>(i)]) {
      case CoreState::OnlyOld: c.only_old_mm2 += area; continue;
      case CoreState::Same: c.same_mm2 += area; break;
      case CoreState::Changed: c.changed_mm2 += area; break;
      case CoreState::Unsure: c.unsure_mm2 += area; break;
    }
    c.common_mm2 += area;
    detectable.push_back(out.cores.detectable_mm[i]);
  }
  out.typical_detectable_mm = median_of(detectable);
}

std::string percent(double share) {
  return fixed(100.0 * share, 0) + " %";
}

/// Why the pose may not be believed; empty when it may.
std::vector<std::string> pose_doubts(const ScanFit& fit) {
  std::vector<std::string> doubts = fit.alignment.doubts;
  for (const std::string& motion : fit.alignment.free_directions)
    doubts.push_back("what both scans show leaves the new one free: " + motion);
  if (doubts.empty() && !fit.alignment.found) doubts.emplace_back("no pose was found");
  return doubts;
}

/// Why "unchanged" is not proven; empty when it is.
std::vector<std::string> gaps_in_proof(const Changes& c) {
  std::vector<std::string> gaps;
  if (c.coverage.common_share() < c.settings.least_coverage)
    gaps.push_back("only " + percent(c.coverage.common_share()) +
                   " of the old surface was seen again, and " + percent(c.settings.least_coverage) +
                   " is asked for");
  const double unsure =
      c.coverage.common_mm2 > 0.0 ? c.coverage.unsure_mm2 / c.coverage.common_mm2 : 1.0;
  if (unsure > c.settings.most_unsure_share)
    gaps.push_back(percent(unsure) + " of what both show cannot be told to within " +
                   shortest(c.settings.least_mm) + " mm (level of detection " +
                   fixed(c.typical_detectable_mm, 3) +
                   " mm at the median): scan denser, or ask for a larger --least");
  const double patch = largest_patch_mm2(c.cores, c.scales, CoreState::Unsure, c.settings.least_mm);
  if (patch >= c.least_area_mm2)
    gaps.push_back("a patch of " + fixed(patch, 0) + " mm² reads more than " +
                   shortest(c.settings.least_mm) + " mm without being beyond doubt");
  return gaps;
}

/// All that makes and forbids a verdict beside the cores' own readings.
struct Findings {
  std::vector<std::string> proven;  ///< changes that no reading tells
  std::vector<ToldPlace> open;
};

void decide(Changes& out, const Findings& found) {
  out.reasons = pose_doubts(out.fit);
  if (!out.reasons.empty()) return;
  if (!out.changes.empty() || !found.proven.empty()) {
    out.outcome = ChangesOutcome::Changed;
    if (!out.changes.empty())
      out.reasons.push_back(counted(out.changes.size(), "patch", "patches") +
                            " changed by more than " + shortest(out.settings.least_mm) + " mm");
    out.reasons.insert(out.reasons.end(), found.proven.begin(), found.proven.end());
    for (std::string& words : words_of_places(found.open))
      out.notes.push_back(std::move(words));
    return;
  }
  out.reasons = gaps_in_proof(out);
  for (std::string& words : words_of_places(found.open))
    out.reasons.push_back(std::move(words));
  if (!out.reasons.empty()) return;
  out.outcome = ChangesOutcome::Unchanged;
  out.reasons.push_back("no patch of " + fixed(out.least_area_mm2, 0) + " mm² or more changed by " +
                        shortest(out.settings.least_mm) + " mm on the " +
                        percent(out.coverage.common_share()) + " of the old surface seen again");
}

}  // namespace

Changes measure_changes(const Scan& old_scan, const Scan& new_scan, const ScanFit& fit,
                        const ChangesSettings& settings) {
  Changes out;
  out.fit = fit;
  out.settings = settings;
  const Eigen::Matrix3Xd new_points = fit.T_old_new() * new_scan.points_mm;
  const PointIndex old_index(old_scan.points_mm), new_index(new_points);
  const Eigen::Matrix3Xd old_normals = normals_of(old_scan, old_index, fit.sides_known);
  const Eigen::Matrix3Xd new_normals =
      fit.sides_known ? Eigen::Matrix3Xd(fit.T_old_new().linear() * new_scan.normals)
                      : estimate_normals(new_points, new_index, kNormalPoints).normals;
  const Cloud before{old_scan.points_mm, old_normals, old_index, fit.sides_known};
  const Cloud after{new_points, new_normals, new_index, fit.sides_known};

  out.scales = choose_scales(before, after);
  out.least_area_mm2 = least_change_area_mm2(out.scales);
  const M3c2Settings how = settings_of(out.scales, fit);
  out.cores = spread_core_points(before, out.scales);
  if (!fit.sides_known)
    out.cores.normals = oriented_normals(out.cores.points_mm, PointIndex(out.cores.points_mm),
                                         std::move(out.cores.normals));
  double new_area_mm2 = 0.0;
  Findings found;
  if (fit.alignment.found) {
    measure(out.cores, before, after, out, how);
    out.changes = find_changes_among(out.cores, out.scales, out.least_area_mm2, fit.sides_known);
    refine_peaks(out, before, after, how);
    const NewCores now = new_cores(before, after, out.scales, how, fit.sides_known);
    new_area_mm2 = now.all.area_mm2.sum();
    out.new_only = seen_only_now(now);
    const std::vector<std::uint8_t> gone = seen_only_then(out.cores);
    found.proven = proven_by_what_is_enclosed(out, gone, now);
    found.open = told_places({before, out.cores, gone}, {after, now.all, now.is_only}, out, how);
    for (const ToldPlace& one : found.open)
      out.open_places.push_back(one.place);
  }
  sum_coverage(out, new_area_mm2);
  decide(out, found);
  if (!fit.sides_known)
    out.notes.emplace_back(
        "the scans do not say which side of the surface is outside, so proud and shy may be "
        "exchanged, over the whole or over pieces that hang apart");
  return out;
}

}  // namespace trammel
