#include "trammel/align/coarse_search.hpp"

#include <algorithm>
#include <array>

#include "trammel/align/motions.hpp"
#include "trammel/align/pair_votes.hpp"
#include "trammel/align/round_design.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

using Poses = std::vector<Eigen::Isometry3d>;

constexpr std::size_t kDenseSamples = 12'000;
constexpr std::size_t kSparseSamples = 500;
constexpr int kRotations = 1500;
constexpr Eigen::Index kFewPoints = 160;

/// Sums over points by which of the six axis directions (three, when the sign is unknown) their
/// normal is nearest to.
struct ByDirection {
  std::array<double, 6> count{};
  std::array<Eigen::Vector3d, 6> sum;
  ByDirection() { sum.fill(Eigen::Vector3d::Zero()); }

  void add(const Eigen::Vector3d& p, const Eigen::Vector3d& normal, bool oriented) {
    Eigen::Index axis = 0;
    normal.cwiseAbs().maxCoeff(&axis);
    const auto at = static_cast<std::size_t>(2 * axis + (oriented && normal[axis] < 0.0 ? 1 : 0));
    count[at] += 1.0;
    sum[at] += p;
  }
};

ByDirection by_direction_of(const SurfaceSamples& samples, bool oriented) {
  ByDirection result;
  for (Eigen::Index i = 0; i < samples.points_mm.cols(); ++i)
    result.add(samples.points_mm.col(i), samples.normals.col(i), oriented);
  return result;
}

/// Translations that could go with a rotation: centroid on centroid, box on box, and the centroid
/// on that of the design's surfaces that face like those seen.
class TranslationGuesses {
 public:
  TranslationGuesses(const ScanSample& scan, const CoarseDesign& design)
      : scan_(scan),
        design_(design),
        points_(std::min(scan.size(), kFewPoints)),
        design_by_direction_(by_direction_of(design.sparse, scan.oriented)),
        design_centroid_(design.sparse.points_mm.rowwise().mean()) {}

  [[nodiscard]] Poses with(const Eigen::Quaterniond& rotation) const {
    const Eigen::Matrix3d R = rotation.toRotationMatrix();
    const Eigen::Matrix3Xd points = R * scan_.points_mm.leftCols(points_);
    const Eigen::Matrix3Xd normals = R * scan_.normals.leftCols(points_);
    const Eigen::Vector3d centroid = points.rowwise().mean();
    ByDirection seen;
    for (Eigen::Index i = 0; i < points_; ++i)
      seen.add(points.col(i), normals.col(i), scan_.oriented);
    return {pose(R, design_centroid_ - centroid),
            pose(R, design_.box.center_mm() - trimmed_center(points)), pose(R, like_seen(seen))};
  }

 private:
  static Eigen::Isometry3d pose(const Eigen::Matrix3d& R, const Eigen::Vector3d& t) {
    Eigen::Isometry3d result = Eigen::Isometry3d::Identity();
    result.linear() = R;
    result.translation() = t;
    return result;
  }

  /// Centre of the box without the outermost twentieth of the points at each end.
  static Eigen::Vector3d trimmed_center(const Eigen::Matrix3Xd& points) {
    Eigen::Vector3d center;
    std::vector<double> values(static_cast<std::size_t>(points.cols()));
    for (Eigen::Index axis = 0; axis < 3; ++axis) {
      for (std::size_t i = 0; i < values.size(); ++i)
        values[i] = points(axis, static_cast<Eigen::Index>(i));
      std::sort(values.begin(), values.end());
      const std::size_t trim = values.size() / 20;
      center[axis] = 0.5 * (values[trim] + values[values.size() - 1 - trim]);
    }
    return center;
  }

  [[nodiscard]] Eigen::Vector3d like_seen(const ByDirection& seen) const {
    Eigen::Vector3d shift = Eigen::Vector3d::Zero();
    double weight = 0.0;
    for (std::size_t d = 0; d < 6; ++d) {
      if (seen.count[d] <= 0.0 || design_by_direction_.count[d] <= 0.0) continue;
      const Eigen::Vector3d there = design_by_direction_.sum[d] / design_by_direction_.count[d];
      shift += seen.count[d] * there - seen.sum[d];
      weight += seen.count[d];
    }
    return weight > 0.0 ? Eigen::Vector3d(shift / weight) : Eigen::Vector3d::Zero();
  }

  const ScanSample& scan_;
  const CoarseDesign& design_;
  Eigen::Index points_;
  ByDirection design_by_direction_;
  Eigen::Vector3d design_centroid_;
};

Poses poses_from_rotations(const ScanSample& scan, const CoarseDesign& design) {
  const TranslationGuesses guesses(scan, design);
  const auto rotations = spread_rotations(kRotations);
  std::vector<Poses> found(rotations.size());
  for_each_index(
      rotations.size(), [&](std::size_t i) { found[i] = guesses.with(rotations[i]); }, 32);
  Poses poses;
  for (const Poses& some : found)
    poses.insert(poses.end(), some.begin(), some.end());
  return poses;
}

std::vector<RoughPose> scored(const ScanSample& scan, const FacingField& field, const Poses& poses,
                              Eigen::Index points, double tolerance_mm) {
  std::vector<RoughPose> result(poses.size());
  for_each_index(
      poses.size(),
      [&](std::size_t i) {
        result[i] = {poses[i], rough_score(scan, field, poses[i], points, tolerance_mm)};
      },
      16);
  return result;
}

std::vector<RoughPose> fitted(const ScanSample& scan, const FacingField& field,
                              const std::vector<RoughPose>& poses, const RoughFitSettings& settings,
                              Eigen::Index score_points) {
  std::vector<RoughPose> result(poses.size());
  for_each_index(
      poses.size(),
      [&](std::size_t i) {
        const Eigen::Isometry3d T = rough_fit(scan, field, poses[i].T_design_scan, settings);
        result[i] = {T, rough_score(scan, field, T, score_points, settings.last_tolerance_mm)};
      },
      1);
  return result;
}

/// Tolerances of the steps are shares of the diagonal.
RoughFitSettings first_step(double diagonal_mm) {
  return {250, 14, 0.06 * diagonal_mm, 0.02 * diagonal_mm};
}
RoughFitSettings second_step(double diagonal_mm) {
  return {900, 12, 0.02 * diagonal_mm, 0.008 * diagonal_mm};
}

}  // namespace

CoarseDesign::CoarseDesign(const Mesh& mesh, const Rng& rng)
    : box(bounding_box(mesh.vertices_mm)),
      diagonal_mm(box.diagonal_mm()),
      area_mm2(surface_area_mm2(mesh)),
      dense(sample_surface(mesh, kDenseSamples, rng.stream("dense"))),
      sparse(sample_surface(mesh, kSparseSamples, rng.stream("sparse"))),
      field(dense, box) {}

std::vector<RoughPose> best_distinct(std::vector<RoughPose> poses, const Box& box, double apart_mm,
                                     std::size_t most, const std::optional<RoundAxis>& round) {
  std::stable_sort(poses.begin(), poses.end(),
                   [](const RoughPose& a, const RoughPose& b) { return a.score > b.score; });
  std::vector<RoughPose> kept;
  for (const RoughPose& pose : poses) {
    if (kept.size() >= most) break;
    const bool is_new = std::none_of(kept.begin(), kept.end(), [&](const RoughPose& better) {
      return pose_distance_mm(better.T_design_scan, pose.T_design_scan, box, round) < apart_mm;
    });
    if (is_new) kept.push_back(pose);
  }
  return kept;
}

std::vector<RoughPose> coarse_search(const ScanSample& scan, const CoarseDesign& design,
                                     const CoarseSearchSettings& settings) {
  const double diagonal = design.diagonal_mm;
  PairVoteSettings pairs;
  pairs.reference_points = settings.reference_points;
  const auto first_guesses = [&](const Poses& poses, std::size_t count) {
    return best_distinct(scored(scan, design.field, poses, kFewPoints, 0.06 * diagonal), design.box,
                         0.08 * diagonal, count, design.round);
  };
  // Kept apart: under clutter few guesses from rotations are any good, but many score higher.
  std::vector<RoughPose> guesses =
      first_guesses(poses_from_pairs(design.sparse, diagonal, scan, pairs), settings.pair_guesses);
  const auto more = first_guesses(poses_from_rotations(scan, design), settings.rotation_guesses);
  guesses.insert(guesses.end(), more.begin(), more.end());

  auto poses = fitted(scan, design.field, guesses, first_step(diagonal), 500);
  poses = best_distinct(std::move(poses), design.box, 0.03 * diagonal, 40, design.round);
  poses = fitted(scan, design.field, poses, second_step(diagonal), 1500);
  return best_distinct(std::move(poses), design.box, 0.01 * diagonal, settings.most_poses,
                       design.round);
}

std::vector<RoughPose> improve_rough(const ScanSample& scan, const CoarseDesign& design,
                                     const std::vector<Eigen::Isometry3d>& poses) {
  std::vector<RoughPose> start(poses.size());
  for (std::size_t i = 0; i < poses.size(); ++i)
    start[i].T_design_scan = poses[i];
  return fitted(scan, design.field, start, second_step(design.diagonal_mm), 1500);
}

}  // namespace trammel
