#include "trammel/align/rivals.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/align/motions.hpp"
#include "trammel/align/round_design.hpp"
#include "trammel/base/stats.hpp"

namespace trammel {
namespace {

constexpr Eigen::Index kFitPoints = 2500;
constexpr Eigen::Index kEvidencePoints = 5000;
constexpr Eigen::Index kClosePoints = 8000;
constexpr std::size_t kMostClose = 16;
constexpr double kFirstSigmaShare = 0.004;  // of the diagonal: about what a rough pose is off
constexpr double kClearZ = 4.0;             // one in 30,000 by chance
constexpr double kLeastLead = 0.0015;
/// Points of a misshapen part are off together, not by chance: it takes more of them to tell.
constexpr double kLeadOfMisshapen = 0.006;

/// Best first; poses nearer to a better one than `apart_mm` are dropped.
std::vector<Rival> ranked(const FineStage& stage, std::vector<Rival> rivals) {
  std::stable_sort(rivals.begin(), rivals.end(), [](const Rival& a, const Rival& b) {
    return a.evidence.overlap > b.evidence.overlap;
  });
  std::vector<Rival> kept;
  for (Rival& rival : rivals)
    if (std::all_of(kept.begin(), kept.end(),
                    [&](const Rival& better) { return is_elsewhere(stage, better, rival); }))
      kept.push_back(std::move(rival));
  return kept;
}

std::vector<Rival> refined(const FineStage& stage, const std::vector<RoughPose>& rough) {
  std::vector<Rival> rivals;
  for (const RoughPose& pose : rough) {
    Rival rival;
    rival.fit =
        stage.refine(pose.T_design_scan, kFitPoints, kFirstSigmaShare * stage.coarse.diagonal_mm);
    rival.evidence = stage.evidence_of(rival.fit.T_design_scan, kEvidencePoints,
                                       stage.tolerance_mm(stage.least_sigma_mm));
    rivals.push_back(std::move(rival));
  }
  return rivals;
}

/// Rough poses that score so much less than the best are not worth refining.
std::vector<RoughPose> promising(std::vector<RoughPose> rough, double best_score) {
  constexpr double kPromising = 0.75;
  rough.erase(
      std::remove_if(rough.begin(), rough.end(),
                     [&](const RoughPose& pose) { return pose.score < kPromising * best_score; }),
      rough.end());
  return rough;
}

/// The winner turned as a symmetric part could be, where that fits about as well.
std::vector<RoughPose> turned_twins(const FineStage& stage, const std::vector<Rival>& known) {
  const Eigen::Isometry3d& T = known.front().fit.T_design_scan;
  const double tolerance = 0.02 * stage.coarse.diagonal_mm;
  const double own = rough_score(stage.scan, stage.coarse.field, T, 500, tolerance);
  std::vector<Eigen::Isometry3d> starts;
  for (const Eigen::Isometry3d& turn :
       likely_symmetries(stage.coarse.sparse.points_mm, stage.coarse.box))
    if (rough_score(stage.scan, stage.coarse.field, turn * T, 500, tolerance) > 0.6 * own)
      starts.push_back(turn * T);
  auto twins = improve_rough(stage.scan, stage.coarse, starts);
  const double own_fine = improve_rough(stage.scan, stage.coarse, {T}).front().score;
  twins = promising(
      best_distinct(std::move(twins), stage.coarse.box, stage.apart_mm, 24, stage.coarse.round),
      own_fine);
  twins.erase(std::remove_if(twins.begin(), twins.end(),
                             [&](const RoughPose& twin) {
                               return std::any_of(known.begin(), known.end(), [&](const Rival& r) {
                                 return stage.distance_mm(r.fit.T_design_scan, twin.T_design_scan) <
                                        stage.apart_mm;
                               });
                             }),
              twins.end());
  return twins;
}

/// Without oriented normals the faces of a sheet look alike: the pose may sit one thickness off.
std::vector<RoughPose> shifted_by_thickness(const FineStage& stage, const Rival& winner) {
  constexpr double kThinShare = 0.04;  // of the diagonal: what the rough fit might not tell apart
  std::vector<RoughPose> shifted;
  const double thickness = wall_thickness_mm(stage.design, stage.coarse.sparse);
  if (stage.scan.oriented || thickness > kThinShare * stage.coarse.diagonal_mm) return shifted;
  for (int code = 0; code < 27; ++code) {
    const Eigen::Vector3i steps(code % 3 - 1, code / 3 % 3 - 1, code / 9 - 1);
    const Eigen::Vector3d shift = steps.cast<double>();
    RoughPose pose;
    pose.T_design_scan = Eigen::Translation3d(thickness * shift) * winner.fit.T_design_scan;
    if (code != 13) shifted.push_back(pose);  // 13: not shifted
  }
  return shifted;
}

bool clearly_beats(const PoseEvidence& first, const PoseEvidence& second, double least_lead) {
  const Comparison c = compare_evidence(first, second);
  const double lead = (c.only_first - c.only_second) / static_cast<double>(first.explained.size());
  return c.z() > kClearZ && lead > least_lead;
}

/// Evidence of all points at the winner's tolerance: what the contest is decided by.
void judge_on_all_points(const FineStage& stage, Rival& rival, double tolerance_mm,
                         Eigen::Index fit_points, double stop_share) {
  rival.fit =
      stage.refine(rival.fit.T_design_scan, fit_points, 2.0 * rival.fit.sigma_mm, stop_share);
  rival.evidence = stage.evidence_of(rival.fit.T_design_scan, stage.scan.size(), tolerance_mm);
}

}  // namespace

bool settle_equal(const FineStage& stage, const Contest& contest, Rival& rival) {
  judge_on_all_points(stage, rival, contest.tolerance_mm, stage.scan.size(), 1e-6);
  return !clearly_beats(contest.winner.evidence, rival.evidence, stage.least_lead);
}

bool is_elsewhere(const FineStage& stage, const Rival& a, const Rival& b) {
  return stage.distance_mm(a.fit.T_design_scan, b.fit.T_design_scan) > stage.apart_mm;
}

FineStage::FineStage(const ScanSample& scan_, const SurfaceIndex& design_,
                     const CoarseDesign& coarse_, double least_sigma_share)
    : scan(scan_),
      design(design_),
      coarse(coarse_),
      noise_mm(std::min(scan_.noise_mm, 0.1 * wall_thickness_mm(design_, coarse_.sparse))),
      least_sigma_mm(std::max(0.3 * noise_mm, least_sigma_share * coarse_.diagonal_mm)),
      apart_mm(std::max(1.0, 0.01 * coarse_.diagonal_mm)),
      least_lead(least_sigma_share > 1e-4 ? kLeadOfMisshapen : kLeastLead) {
  if (!scan.oriented)
    apart_mm = std::min(apart_mm, std::max(0.25, 0.5 * wall_thickness_mm(design, coarse.sparse)));
}

double wall_thickness_mm(const SurfaceIndex& design, const SurfaceSamples& samples) {
  constexpr double kOpposite = 0.9;
  std::vector<double> distances;
  for (Eigen::Index i = 0; i < samples.points_mm.cols(); ++i) {
    const Eigen::Vector3d inward = -samples.normals.col(i);
    const SurfacePoint other = design.nearest_facing(samples.points_mm.col(i), inward, kOpposite);
    if (other.found() && inward.dot(other.foot_mm - samples.points_mm.col(i)) > 0.0)
      distances.push_back(other.distance_mm);
  }
  return distances.empty() ? SurfaceIndex::kNoLimit : quantile(distances, 0.25);
}

double FineStage::distance_mm(const Eigen::Isometry3d& a, const Eigen::Isometry3d& b) const {
  return pose_distance_mm(a, b, coarse.box, coarse.round);
}

double FineStage::tolerance_mm(double sigma_mm) const {
  return std::max({4.0 * sigma_mm, 4.0 * noise_mm, 0.002 * coarse.diagonal_mm});
}

SurfaceFit FineStage::refine(const Eigen::Isometry3d& start, Eigen::Index points,
                             double first_sigma_mm, double stop_share) const {
  SurfaceFitSettings settings;
  settings.points = points;
  settings.most_iterations = stop_share < 1e-5 ? 80 : 40;
  settings.first_sigma_mm = first_sigma_mm;
  settings.least_sigma_mm = least_sigma_mm;
  settings.stop_mm = stop_share * coarse.diagonal_mm;
  settings.round = coarse.round;
  return fit_to_surface(scan, design, start, settings);
}

PoseEvidence FineStage::evidence_of(const Eigen::Isometry3d& pose, Eigen::Index points,
                                    double tolerance) const {
  return explained_points(correspond(scan, design, pose, points, 1.01 * tolerance), scan.share,
                          tolerance);
}

Contest hold_contest(const FineStage& stage, const std::vector<RoughPose>& rough) {
  Contest contest;
  if (rough.empty()) return contest;
  std::vector<Rival> rivals = ranked(stage, refined(stage, promising(rough, rough.front().score)));
  const auto twins = refined(stage, turned_twins(stage, rivals));
  const auto shifted = refined(stage, shifted_by_thickness(stage, rivals.front()));
  rivals.insert(rivals.end(), twins.begin(), twins.end());
  rivals.insert(rivals.end(), shifted.begin(), shifted.end());
  rivals = ranked(stage, std::move(rivals));

  const double tolerance = stage.tolerance_mm(rivals.front().fit.sigma_mm);
  contest.tolerance_mm = tolerance;
  const PoseEvidence first_look =
      stage.evidence_of(rivals.front().fit.T_design_scan, kEvidencePoints, tolerance);
  std::vector<Rival> close;
  for (Rival& rival : rivals) {
    rival.evidence = stage.evidence_of(rival.fit.T_design_scan, kEvidencePoints, tolerance);
    // z grows with the root of the number of points: half of it shows on a quarter of them.
    if (compare_evidence(first_look, rival.evidence).z() < 2.0 * kClearZ) close.push_back(rival);
  }
  contest.lead = first_look.overlap;
  for (std::size_t i = 1; i < rivals.size(); ++i)
    contest.lead = std::min(contest.lead, first_look.overlap - rivals[i].evidence.overlap);

  contest.more_equals = close.size() > kMostClose;
  if (contest.more_equals) close.resize(kMostClose);
  for (Rival& rival : close)
    judge_on_all_points(stage, rival, tolerance, kClosePoints, 1e-5);
  close = ranked(stage, std::move(close));
  judge_on_all_points(stage, close.front(), tolerance, stage.scan.size(), 1e-6);
  contest.winner = close.front();
  for (std::size_t i = 1; i < close.size(); ++i)
    if (!clearly_beats(contest.winner.evidence, close[i].evidence, stage.least_lead))
      contest.equals.push_back(close[i]);
  return contest;
}

}  // namespace trammel
