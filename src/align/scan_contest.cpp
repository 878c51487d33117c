#include "trammel/align/scan_contest.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "trammel/align/motions.hpp"
#include "trammel/base/linear_algebra.hpp"

namespace trammel {
namespace {

using Vector6 = Eigen::Matrix<double, 6, 1>;
using Matrix6 = Eigen::Matrix<double, 6, 6>;

constexpr Eigen::Index kFirstPoints = 1200;
constexpr Eigen::Index kFirstEvidence = 3000;
constexpr Eigen::Index kMorePoints = 3000;
constexpr std::size_t kMostEquals = 2;  // one is enough to be unsure
constexpr std::size_t kFollowed = 10;
constexpr double kRoughlyOff = 0.004;  // of the diagonal: kernel for a rough pose
constexpr double kBesideZ = 4.0;
constexpr double kLeadOfScans = 0.003;
constexpr double kApartShare = 5e-4;  // of the diagonal
constexpr double kMoved = 0.06;       // of the diagonal: as far off as change is measured
constexpr double kSquarely = 0.3;     // of a distance: so little across it lies squarely opposite

ScanPose refined_pose(const ScanStage& stage, const Eigen::Isometry3d& start, Eigen::Index points,
                      double first_sigma_mm, double stop_share, Eigen::Index evidence_points) {
  SurfaceFitSettings settings;
  settings.points = points;
  settings.most_iterations = stop_share < 1e-5 ? 60 : 30;
  settings.first_sigma_mm = first_sigma_mm;
  settings.least_sigma_mm = 0.5 * stage.sigma_mm;
  settings.stop_mm = stop_share * stage.coarse.diagonal_mm;
  ScanPose pose;
  pose.fit = fit_to_surface(stage.moving, stage.base, start, settings);
  const double tolerance = stage.tolerance_mm();
  pose.evidence = explained_points(correspond(stage.moving, stage.base, pose.fit.T_design_scan,
                                              evidence_points, 1.01 * tolerance),
                                   stage.moving.share, tolerance);
  return pose;
}

double apart_mm(const ScanStage& stage, const ScanPose& a, const ScanPose& b) {
  return corner_distance_mm(a.fit.T_design_scan, b.fit.T_design_scan, stage.coarse.box);
}

double least_apart_mm(const ScanStage& stage) {
  return std::max(3.0 * stage.sigma_mm, kApartShare * stage.coarse.diagonal_mm);
}

/// Best first; what lies within reach of a better one is dropped.
std::vector<ScanPose> distinct_poses(const ScanStage& stage, std::vector<ScanPose> poses) {
  std::stable_sort(poses.begin(), poses.end(), [](const ScanPose& a, const ScanPose& b) {
    return a.evidence.overlap > b.evidence.overlap;
  });
  std::vector<ScanPose> kept;
  for (ScanPose& pose : poses)
    if (std::all_of(kept.begin(), kept.end(), [&](const ScanPose& better) {
          return apart_mm(stage, better, pose) > least_apart_mm(stage);
        }))
      kept.push_back(std::move(pose));
  return kept;
}

/// Unit motions about the box's centre that the explained points hold least; rotations in units of
/// the arm. 6 × 3.
Eigen::Matrix<double, 6, 3> weakest_motions(const ScanStage& stage, const ScanPose& pose,
                                            double arm_mm) {
  const auto points = correspond(stage.moving, stage.base, pose.fit.T_design_scan, kMorePoints,
                                 stage.tolerance_mm());
  const Eigen::Vector3d center = stage.coarse.box.center_mm();
  Matrix6 sum = Matrix6::Zero();
  for (const Correspondence& c : points) {
    if (!c.facing) continue;
    Vector6 row;
    row << (c.p_design - center).cross(c.normal) / arm_mm, c.normal;
    sum += row * row.transpose();
  }
  return symmetric_eigen(sum).vectors.leftCols(3);
}

/// Fits that start beside a pose, at 1/150 of the diagonal.
std::vector<ScanPose> from_beside(const ScanStage& stage, const ScanPose& pose) {
  const double arm_mm = 0.5 * stage.coarse.diagonal_mm;
  const auto motions = weakest_motions(stage, pose, arm_mm);
  std::vector<ScanPose> found;
  for (Eigen::Index k = 0; k < motions.cols(); ++k)
    for (const double step : {1.0 / 150.0, -1.0 / 150.0}) {
      const double length_mm = step * stage.coarse.diagonal_mm;
      Vector6 motion = length_mm * motions.col(k);
      motion.head<3>() /= arm_mm;
      const Eigen::Isometry3d start =
          small_motion(motion, stage.coarse.box.center_mm()) * pose.fit.T_design_scan;
      found.push_back(refined_pose(stage, start, kMorePoints, std::abs(length_mm) / 3.0, 1e-5,
                                   stage.moving.size()));
    }
  return found;
}

/// On all points, until it rests.
ScanPose settled(const ScanStage& stage, const ScanPose& pose) {
  return refined_pose(stage, pose.fit.T_design_scan, stage.moving.size(), 2.0 * pose.fit.sigma_mm,
                      1e-6, stage.moving.size());
}

bool beats(const ScanPose& first, const ScanPose& second) {
  const Comparison c = compare_evidence(first.evidence, second.evidence);
  const double lead =
      (c.only_first - c.only_second) / static_cast<double>(first.evidence.explained.size());
  return c.z() > kBesideZ && lead > kLeadOfScans;
}

/// Nearer than this to the base a point is on it, but for what creases and small changes make.
double near_mm(const ScanStage& stage) {
  return std::max(kRoughlyOff * stage.coarse.diagonal_mm, stage.tolerance_mm());
}

/// Shares of the moving scan at a pose.
struct Footing {
  double near = 0.0;  ///< on the base
  double off = 0.0;   ///< squarely opposite the base and well off it: what contradicts the pose
  [[nodiscard]] double on_nothing() const { return 1.0 - near - off; }
};

Footing footing_of(const ScanStage& stage, const ScanPose& pose) {
  const auto points = correspond(stage.moving, stage.base, pose.fit.T_design_scan,
                                 stage.moving.size(), kMoved * stage.coarse.diagonal_mm);
  Footing out;
  for (std::size_t i = 0; i < points.size(); ++i) {
    const Correspondence& c = points[i];
    if (!c.facing) continue;
    const double stands_for = stage.moving.share[static_cast<Eigen::Index>(i)];
    if (std::hypot(c.residual_mm, c.beside_mm) <= near_mm(stage))
      out.near += stands_for;
    else if (c.beside_mm <= kSquarely * std::abs(c.residual_mm))
      out.off += stands_for;
  }
  return out;
}

/// May `other` be right though `winner` explains more? Scans need not overlap by as much as they
/// can. A pose beside the winner contradicts nothing that could be seen; the explained points tell.
bool is_as_sound(const ScanStage& stage, const ScanPose& winner, const ScanPose& other) {
  if (apart_mm(stage, winner, other) < 2.0 * near_mm(stage)) return false;
  const Footing held = footing_of(stage, winner), there = footing_of(stage, other);
  return held.near - there.near < held.on_nothing() && there.off <= held.off + kLeadOfScans;
}

}  // namespace

ScanContest hold_scan_contest(const ScanStage& stage, const std::vector<RoughPose>& rough) {
  ScanContest contest;
  if (rough.empty()) return contest;
  const double wide_mm = kRoughlyOff * stage.coarse.diagonal_mm;
  std::vector<ScanPose> poses;
  for (const RoughPose& pose : rough)
    poses.push_back(
        refined_pose(stage, pose.T_design_scan, kFirstPoints, wide_mm, 1e-4, kFirstEvidence));
  poses = distinct_poses(stage, std::move(poses));
  if (poses.size() > kFollowed) poses.resize(kFollowed);
  for (ScanPose& pose : poses)
    pose = refined_pose(stage, pose.fit.T_design_scan, kMorePoints, 2.0 * pose.fit.sigma_mm, 1e-5,
                        stage.moving.size());
  poses = distinct_poses(stage, std::move(poses));
  const std::vector<ScanPose> beside = from_beside(stage, poses.front());
  poses.insert(poses.end(), beside.begin(), beside.end());
  poses = distinct_poses(stage, std::move(poses));

  contest.winner = settled(stage, poses.front());
  const auto may_be_right = [&](const ScanPose& pose) {
    return !beats(contest.winner, pose) || is_as_sound(stage, contest.winner, pose);
  };
  for (std::size_t i = 1; i < poses.size() && contest.equals.size() < kMostEquals; ++i) {
    if (!may_be_right(poses[i])) continue;
    // A weakly held motion comes to rest late: only what stays elsewhere to the end is another
    // pose.
    const ScanPose other = settled(stage, poses[i]);
    if (apart_mm(stage, contest.winner, other) > least_apart_mm(stage) && may_be_right(other))
      contest.equals.push_back(other);
  }
  return contest;
}

}  // namespace trammel
