#include "trammel/align/design_turns.hpp"

#include <algorithm>
#include <cmath>
#include <optional>

#include "trammel/base/constants.hpp"
#include "trammel/base/linear_algebra.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

using Poses = std::vector<Eigen::Isometry3d>;

constexpr double kOnItself = 0.97;     // of the surface
constexpr double kAllOnItself = 0.99;  // of the surface: what is left is facets
constexpr double kHardlyOnIt = 0.92;   // of the surface, half a degree beside the turn
constexpr double kAlikeMoments = 0.15;
constexpr Eigen::Index kLookPoints = 1000;
constexpr Eigen::Index kTurnPoints = 2500;
constexpr Eigen::Index kSharePoints = 6000;
constexpr std::size_t kMostTurns = 23;  // a cube has as many
constexpr std::size_t kMostHills = 32;
constexpr std::size_t kMostOpen = 24;
constexpr double kRefutedZ = 5.0;  // one in three million by chance

/// The design as if it had been scanned, all of it and without error.
ScanSample as_scan(const SurfaceSamples& samples) {
  ScanSample scan;
  // The samples follow the list of triangles: strides of a prime make the first k an even part.
  const Eigen::Index count = samples.points_mm.cols();
  const Eigen::Index stride = 7919;
  std::vector<Eigen::Index> order;
  for (Eigen::Index i = 0; i < count; ++i)
    order.push_back((i * stride) % count);
  scan.points_mm = samples.points_mm(Eigen::all, order);
  scan.normals = samples.normals(Eigen::all, order);
  scan.share = Eigen::VectorXd::Constant(count, 1.0 / static_cast<double>(count));
  scan.oriented = true;
  return scan;
}

/// Of the surface, about its centroid: moments from small to large, and their axes.
struct Moments {
  Eigen::Vector3d centroid_mm;
  SymmetricEigen3 spread;

  explicit Moments(const Eigen::Matrix3Xd& points_mm)
      : centroid_mm(points_mm.rowwise().mean()),
        spread(symmetric_eigen_3((points_mm.colwise() - centroid_mm) *
                                 (points_mm.colwise() - centroid_mm).transpose())) {}
  [[nodiscard]] bool alike(Eigen::Index a, Eigen::Index b) const {
    return std::abs(spread.values[a] - spread.values[b]) <=
           kAlikeMoments * std::max(spread.values[a], spread.values[b]);
  }
  [[nodiscard]] Eigen::Isometry3d turn(const Eigen::Vector3d& axis, double angle_rad) const {
    Eigen::Isometry3d T = Eigen::Isometry3d::Identity();
    T.linear() = Eigen::AngleAxisd(angle_rad, axis).toRotationMatrix();
    T.translation() = centroid_mm - T.linear() * centroid_mm;
    return T;
  }
};

/// Turns side by side, to be looked through for hills; round: the last is beside the first.
struct Row {
  Poses poses;
  bool round = true;
};

/// About one axis, and half turns across it.
std::vector<Row> rows_about(const Moments& moments, Eigen::Index axis) {
  const Eigen::Vector3d along = moments.spread.vectors.col(axis);
  const Eigen::Vector3d across = moments.spread.vectors.col((axis + 1) % 3);
  Row about, half_turns;
  for (int degrees = 0; degrees < 360; ++degrees)
    about.poses.push_back(moments.turn(along, degrees * kDegree));
  for (int half_degrees = 0; half_degrees < 360; ++half_degrees) {
    const Eigen::AngleAxisd swing(0.5 * half_degrees * kDegree, along);
    half_turns.poses.push_back(moments.turn(swing * across, kPi));
  }
  return {about, half_turns};
}

/// Where every turn about its axis lays the design on itself one half turn across it stands for
/// all.
std::vector<Row> rows_of_round(const Moments& moments, const Eigen::Vector3d& axis) {
  Row across;
  across.round = false;
  across.poses.push_back(moments.turn(axis.unitOrthogonal(), kPi));
  return {across};
}

std::vector<Row> rows_to_try(const Moments& moments) {
  std::vector<Row> rows;
  Row halves;
  halves.round = false;
  for (Eigen::Index axis = 0; axis < 3; ++axis)
    halves.poses.push_back(moments.turn(moments.spread.vectors.col(axis), kPi));
  rows.push_back(halves);
  if (moments.alike(0, 1))
    for (Row& row : rows_about(moments, 2))
      rows.push_back(std::move(row));
  if (moments.alike(1, 2))
    for (Row& row : rows_about(moments, 0))
      rows.push_back(std::move(row));
  return rows;
}

struct Tried {
  Eigen::Isometry3d turn;
  double height;  ///< share of the surface that it lays on itself, within 1/250 of the diagonal
};

/// Of a row what is high enough; and of these, what is no lower than what lies beside it.
struct Heights {
  std::vector<Tried> high, hills;

  void look_along(const FineStage& self, const Row& row) {
    const double tolerance_mm = 0.004 * self.coarse.diagonal_mm;
    std::vector<double> height(row.poses.size());
    for (std::size_t i = 0; i < height.size(); ++i)
      height[i] = self.evidence_of(row.poses[i], kLookPoints, tolerance_mm).overlap;
    const std::size_t count = height.size();
    for (std::size_t i = 0; i < count; ++i) {
      if (height[i] < kHardlyOnIt) continue;
      high.push_back({row.poses[i], height[i]});
      const bool top = !row.round || (height[i] >= height[(i + count - 1) % count] &&
                                      height[i] >= height[(i + 1) % count]);
      if (top) hills.push_back(high.back());
    }
  }
};

Heights heights_of(const FineStage& self, const Moments& moments) {
  const std::optional<RoundAxis>& round = self.coarse.round;
  Heights heights;
  for (const Row& row : round ? rows_of_round(moments, round->axis) : rows_to_try(moments))
    heights.look_along(self, row);
  std::stable_sort(heights.hills.begin(), heights.hills.end(),
                   [](const Tried& a, const Tried& b) { return a.height > b.height; });
  if (heights.hills.size() > kMostHills) heights.hills.resize(kMostHills);
  return heights;
}

bool is_near_any(const FineStage& stage, const Poses& poses, const Eigen::Isometry3d& pose) {
  return std::any_of(poses.begin(), poses.end(), [&](const Eigen::Isometry3d& other) {
    return stage.distance_mm(other, pose) <= stage.apart_mm;
  });
}

bool make_a_group(const FineStage& self, const Poses& with_identity) {
  for (const Eigen::Isometry3d& a : with_identity)
    for (const Eigen::Isometry3d& b : with_identity)
      if (!is_near_any(self, with_identity, a * b)) return false;
  return true;
}

}  // namespace

DesignTurns turns_onto_itself(const SurfaceIndex& design, const CoarseDesign& coarse) {
  const ScanSample scan = as_scan(coarse.dense);
  const FineStage self(scan, design, coarse);
  const Moments moments(scan.points_mm);
  const double tolerance_mm = 0.002 * coarse.diagonal_mm;
  const Heights heights = heights_of(self, moments);
  Poses found{Eigen::Isometry3d::Identity()}, nearly;
  DesignTurns out;
  for (const Tried& hill : heights.hills) {
    const Eigen::Isometry3d turn = self.refine(hill.turn, kTurnPoints, tolerance_mm).T_design_scan;
    if (is_near_any(self, found, turn) || is_near_any(self, nearly, turn)) continue;
    const double share = self.evidence_of(turn, kSharePoints, tolerance_mm).overlap;
    if (share >= kAllOnItself)
      found.push_back(turn);
    else if (share >= kOnItself)
      nearly.push_back(turn);
    if (found.size() > kMostTurns + 1) return out;
  }
  const bool all_alike = moments.alike(0, 2) && !coarse.round;
  out.complete = !all_alike && make_a_group(self, found);
  for (const Tried& tried : heights.high)
    if (!is_near_any(self, found, tried.turn)) out.nearly.push_back(tried.turn);
  out.turns.assign(found.begin() + 1, found.end());
  out.turns.insert(out.turns.end(), nearly.begin(), nearly.end());
  return out;
}

namespace {

/// Those of the poses that a look at so many of the points does not refute.
Poses not_refuted(const FineStage& stage, const Contest& contest, Poses poses,
                  Eigen::Index points) {
  const double tolerance_mm = 2.0 * contest.tolerance_mm;
  const auto look = [&](const Eigen::Isometry3d& pose) {
    return stage.evidence_of(pose, points, tolerance_mm);
  };
  const PoseEvidence best = look(contest.winner.fit.T_design_scan);
  const auto is_refuted = [&](const Eigen::Isometry3d& pose) {
    return compare_evidence(best, look(pose)).z() >= kRefutedZ;
  };
  poses.erase(std::remove_if(poses.begin(), poses.end(), is_refuted), poses.end());
  return poses;
}

/// Of turns a degree apart what may be a pose of the scan. Few points do not show a hole or two,
/// and many refute what is but half a degree beside a pose: what is left of a look at few is fitted
/// before more are looked at.
Poses open_among(const FineStage& stage, const Contest& contest, Poses turns) {
  turns = not_refuted(stage, contest, std::move(turns), kLookPoints);
  turns = not_refuted(stage, contest, std::move(turns), kTurnPoints);
  for (Eigen::Isometry3d& turn : turns)
    turn = stage.refine(turn, kTurnPoints, contest.tolerance_mm).T_design_scan;
  return not_refuted(stage, contest, std::move(turns), kSharePoints);
}

/// Fits a turned pose; true where it is a new one that fits as well as the winner, and is listed.
bool lists_as_equal(const FineStage& stage, Contest& contest, const Eigen::Isometry3d& pose) {
  Rival rival;
  rival.fit = contest.winner.fit;
  rival.fit.T_design_scan = pose;
  const auto is_here = [&](const Rival& other) { return !is_elsewhere(stage, rival, other); };
  const auto is_known = [&] {
    return is_here(contest.winner) ||
           std::any_of(contest.equals.begin(), contest.equals.end(), is_here);
  };
  if (is_known() || !settle_equal(stage, contest, rival) || is_known()) return false;
  contest.equals.push_back(rival);
  return true;
}

Poses after(const Poses& turns, const Eigen::Isometry3d& T_best) {
  Poses turned;
  for (const Eigen::Isometry3d& turn : turns)
    turned.push_back(turn * T_best);
  return turned;
}

}  // namespace

bool complete_equals(Contest& contest, const FineStage& stage) {
  if (contest.equals.empty()) return false;
  const DesignTurns known = turns_onto_itself(stage.design, stage.coarse);
  const Eigen::Isometry3d T_best = contest.winner.fit.T_design_scan;
  const Poses turned = after(known.turns, T_best);

  bool complete = known.complete && !contest.more_equals;
  for (Rival& equal : contest.equals) {
    if (!complete) break;  // that it rests would change nothing
    settle_equal(stage, contest, equal);
    complete =
        complete && equal.fit.converged && is_near_any(stage, turned, equal.fit.T_design_scan);
  }
  for (const Eigen::Isometry3d& pose : turned)
    if (lists_as_equal(stage, contest, pose))
      complete = complete && contest.equals.back().fit.converged;
  if (!complete) return false;
  // What nearly lays the design on itself the scan must tell from the winner.
  const Poses open = open_among(stage, contest, after(known.nearly, T_best));
  if (open.size() > kMostOpen) return false;
  for (const Eigen::Isometry3d& pose : open)
    if (lists_as_equal(stage, contest, pose)) complete = false;
  return complete;
}

}  // namespace trammel
