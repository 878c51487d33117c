#include "trammel/align/best_fit.hpp"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

#include "trammel/align/describe_pose.hpp"
#include "trammel/align/design_turns.hpp"
#include "trammel/align/grown_fit.hpp"
#include "trammel/align/motions.hpp"
#include "trammel/base/numbers.hpp"

namespace trammel {
namespace {

constexpr double kLittleExplained = 0.7;
/// A pose that explains this much needs no second look at whether the part is misshapen.
constexpr double kNearlyAll = 0.9;
/// Kernel for misshapen parts, a share of the diagonal: its tolerance is four times that.
constexpr double kWideSigmaShare = 0.002;
/// When so little of what lies near the design lies on it, the part is off everywhere.
constexpr double kMisshapen = 0.62;
constexpr double kNearShare = 0.02;   // of the diagonal: what may belong to the part
constexpr double kFirmShare = 0.001;  // of the diagonal: two standard errors of a firm fit
constexpr Eigen::Index kFewestInZones = 60;
constexpr int kMostZoneRounds = 6;

FineStage with_wide_kernel(const FineStage& stage) {
  return {stage.scan, stage.design, stage.coarse, kWideSigmaShare};
}

/// The wide kernel holds the part elsewhere, and the place of the narrow one is worse by it. A part
/// that is nearly symmetric may fit as well turned, by a kernel too wide to see what tells its
/// turns apart: there the narrow one decides.
bool prefers_another(const FineStage& wide, const Contest& loose, const Rival& strict) {
  if (!is_elsewhere(wide, loose.winner, strict)) return false;
  Rival by_wide = strict;
  const bool as_good = settle_equal(wide, loose, by_wide);
  return !as_good || is_elsewhere(wide, by_wide, strict);
}

/// The narrow contest, unless the part turns out to be off everywhere (shrunk, bowed): then only
/// the wide one means anything. When the two disagree on a part that is not, neither pose is known.
Contest hold_contests(const FineStage& narrow, const std::vector<RoughPose>& rough) {
  Contest strict = hold_contest(narrow, rough);
  const double overlap = strict.winner.evidence.overlap;
  if (overlap > kNearlyAll) return strict;
  const FineStage wide = with_wide_kernel(narrow);
  Contest loose = hold_contest(wide, rough);
  loose.misshapen = overlap < kMisshapen * loose.winner.evidence.overlap;
  if (loose.misshapen) return loose;
  if (prefers_another(wide, loose, strict.winner)) {
    strict.equals.insert(strict.equals.begin(), loose.winner);
  }
  return strict;
}

std::vector<RoughPose> with_more(std::vector<RoughPose> found, std::vector<RoughPose> more) {
  found.insert(found.end(), more.begin(), more.end());
  std::stable_sort(found.begin(), found.end(),
                   [](const RoughPose& a, const RoughPose& b) { return a.score > b.score; });
  return found;
}

/// The contest of the search's poses and of poses known before, whose equals may not be all.
Contest searched(const FineStage& stage, const std::vector<RoughPose>& known,
                 const CoarseSearchSettings& settings = {}) {
  return hold_contests(stage, with_more(coarse_search(stage.scan, stage.coarse, settings), known));
}

/// Clutter, or the search missed it: looks harder, and keeps what explains more.
/// @return whether that is another contest
bool search_harder(const FineStage& stage, const std::vector<RoughPose>& known, Contest& contest) {
  if (contest.winner.evidence.overlap >= kLittleExplained) return false;
  Contest second = searched(stage, known, {240, 400, 200, 20});
  if (second.winner.evidence.overlap <= contest.winner.evidence.overlap) return false;
  contest = std::move(second);
  return true;
}

void complete(Contest& contest, const FineStage& stage) {
  if (contest.equals.empty()) return;
  // Judged by what it was held by.
  contest.equals_complete =
      complete_equals(contest, contest.misshapen ? with_wide_kernel(stage) : stage);
}

std::string names_of(const std::vector<Zone>& zones) {
  std::string words;
  for (const Zone& zone : zones)
    words += (words.empty() ? "'" : ", '") + zone.name + "'";
  return words;
}

std::string held_words(const AlignSettings& settings) {
  std::string words = "best fit to all it saw";
  if (!settings.on.empty()) words = "best fit to " + names_of(settings.on) + " alone";
  if (!settings.off.empty()) words += ", without " + names_of(settings.off);
  return words;
}

bool in_any(const std::vector<Zone>& zones, const Eigen::Vector3d& p_design) {
  return std::any_of(zones.begin(), zones.end(),
                     [&](const Zone& zone) { return zone.holds(p_design); });
}

/// The points of the sample whose place on the design is fitted to. A zone often ends at a face:
/// the foot tells, not the noisy point.
ScanSample in_zones(const FineStage& stage, const AlignSettings& settings, const SurfaceFit& fit) {
  const double reach_mm = std::max(10.0 * fit.sigma_mm, 0.01 * stage.coarse.diagonal_mm);
  const auto points =
      correspond(stage.scan, stage.design, fit.T_design_scan, stage.scan.size(), reach_mm);
  std::vector<Eigen::Index> chosen;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Correspondence& c = points[i];
    if (!c.facing) continue;
    const Eigen::Vector3d foot = c.p_design - c.residual_mm * c.normal;
    if (!settings.on.empty() && !in_any(settings.on, foot)) continue;
    if (!in_any(settings.off, foot)) chosen.push_back(static_cast<Eigen::Index>(i));
  }
  ScanSample sample = stage.scan;
  sample.points_mm = stage.scan.points_mm(Eigen::all, chosen);
  sample.normals = stage.scan.normals(Eigen::all, chosen);
  sample.share = stage.scan.share(chosen);
  return sample;
}

/// Fitted to the zones alone; the points in them are chosen anew until the pose rests.
void fit_in_zones(Alignment& alignment, const FineStage& stage, const AlignSettings& settings,
                  SurfaceFit fit) {
  fit.converged = false;
  for (int round = 0; round < kMostZoneRounds && !fit.converged; ++round) {
    const ScanSample sample = in_zones(stage, settings, fit);
    if (sample.size() < kFewestInZones) {
      alignment.doubts.push_back("only " + std::to_string(sample.size()) +
                                 " points lie where the plan wants the part fitted");
      return;
    }
    const FineStage zoned(sample, stage.design, stage.coarse);
    const Eigen::Isometry3d before = fit.T_design_scan;
    const int iterations = fit.iterations;
    fit = zoned.refine(before, sample.size(), 2.0 * fit.sigma_mm, 1e-6);
    fit.iterations += iterations;
    fit.converged =
        fit.converged && corner_distance_mm(before, fit.T_design_scan, stage.coarse.box) <
                             1e-5 * stage.coarse.diagonal_mm;
    note_freedom(alignment, freedom_at(zoned, fit));
  }
  Rival held = rival_at(stage, fit.T_design_scan);
  held.fit = fit;
  note_pose(alignment, held);
}

/// Of the points near the design and facing it, the share that lies on it.
double share_of_near(const FineStage& stage, const SurfaceFit& fit) {
  const auto points = correspond(stage.scan, stage.design, fit.T_design_scan, stage.scan.size(),
                                 kNearShare * stage.coarse.diagonal_mm);
  const double tolerance_mm = stage.tolerance_mm(fit.sigma_mm);
  double near = 0.0, on = 0.0;
  for (const Correspondence& c : points) {
    near += c.facing ? 1.0 : 0.0;
    on += c.facing && std::hypot(c.residual_mm, c.beside_mm) <= tolerance_mm ? 1.0 : 0.0;
  }
  return on / std::max(1.0, near);
}

/// Puts first whichever of the poses that fit as well lies there: of a symmetric part any may.
/// @return whether one does
bool put_first(Contest& contest, const FineStage& stage, const Eigen::Isometry3d& there) {
  const auto lies_there = [&](const Rival& pose) {
    return stage.distance_mm(pose.fit.T_design_scan, there) <= stage.apart_mm;
  };
  if (lies_there(contest.winner)) return true;
  const auto equal = std::find_if(contest.equals.begin(), contest.equals.end(), lies_there);
  if (equal == contest.equals.end()) return false;
  std::swap(contest.winner, *equal);
  return true;
}

/// Which pose is meant is told by the points brought to the design's size; where the part lies as
/// it is, by all of them as they are.
/// @return nothing where sized points fit elsewhere: then the growth was that of a wrong pose
std::optional<Alignment> hold_grown(const FineStage& stage, const GrownFit& grown,
                                    const AlignSettings& settings) {
  const FineStage sized(grown.sized, stage.design, stage.coarse);
  // No harder search: what the first one may have missed, the growth has found.
  const auto known = improve_rough(sized.scan, sized.coarse, {grown.T_design_scan});
  Contest contest = searched(sized, known);
  complete(contest, sized);
  if (!put_first(contest, stage, grown.T_design_scan)) return {};
  Alignment alignment;
  note_freedom(alignment, freedom_at(sized, contest.winner.fit));
  alignment.scale = scale_as_it_is(alignment.scale, grown.growth);
  doubt_torn_fit(alignment, sized, contest);
  contest.winner = as_it_is(stage, sized, std::move(contest.winner));
  for (Rival& equal : contest.equals)
    equal = as_it_is(stage, sized, std::move(equal));
  note_pose(alignment, contest.winner);
  note_equals(alignment, stage, contest.winner, contest.equals);
  alignment.others_complete = contest.equals_complete;
  alignment.held_by = held_words(settings) + ", its growth spread over all";
  decide_found(alignment, settings, stage.coarse.diagonal_mm);
  return alignment;
}

/// A rigid fit of a part that grew may have taken another pose for the right one, or several.
std::optional<Alignment> held_as_grown(const FineStage& stage, const Contest& rigid,
                                       const AlignSettings& settings) {
  std::vector<Rival> poses{rigid.winner};
  poses.insert(poses.end(), rigid.equals.begin(), rigid.equals.end());
  for (const Rival& pose : poses) {
    const auto grown = fit_grown(stage, pose.fit);
    if (!grown) continue;
    if (auto held = hold_grown(stage, *grown, settings)) return held;
  }
  return {};
}

}  // namespace

void doubt_torn_fit(Alignment& alignment, const FineStage& stage, const Contest& contest) {
  const bool firm = 2.0 * alignment.standard_error_mm <= kFirmShare * stage.coarse.diagonal_mm;
  if (firm || contest.misshapen) return;
  const double share = share_of_near(stage, contest.winner.fit);
  if (share > kNearlyAll) return;
  alignment.torn = true;
  alignment.doubts.push_back("only " + share_words(share) +
                             " of what lies near the design lies on it, and that pulls the part to "
                             "and fro by ±" +
                             fixed(2.0 * alignment.standard_error_mm, 2) +
                             " mm: its good part cannot be told from its bent one");
}

Contest find_best_pose(const FineStage& stage, const std::vector<Eigen::Isometry3d>& also) {
  const auto known = improve_rough(stage.scan, stage.coarse, also);
  Contest contest = searched(stage, known);
  search_harder(stage, known, contest);
  complete(contest, stage);
  return contest;
}

Alignment best_fit(const FineStage& stage, const AlignSettings& settings) {
  Alignment alignment;
  const bool by_all = settings.on.empty() && settings.off.empty();
  const auto grown = [&](const Contest& contest) {
    return by_all ? held_as_grown(stage, contest, settings) : std::nullopt;
  };
  Contest contest = searched(stage, {});
  // Growth first: of a part that grew too little is explained for a search that looks harder.
  if (auto held = grown(contest)) return *held;
  if (search_harder(stage, {}, contest)) {
    if (auto held = grown(contest)) return *held;
  }
  complete(contest, stage);
  note_pose(alignment, contest.winner);
  note_freedom(alignment, freedom_at(stage, contest.winner.fit));
  note_equals(alignment, stage, contest.winner, contest.equals);
  // Fitted to zones, the others would lie elsewhere too.
  alignment.others_complete = contest.equals_complete && by_all;
  doubt_torn_fit(alignment, stage, contest);
  if (!by_all) fit_in_zones(alignment, stage, settings, contest.winner.fit);
  alignment.held_by = held_words(settings);
  decide_found(alignment, settings, stage.coarse.diagonal_mm);
  return alignment;
}

}  // namespace trammel
