#include "trammel/align/rough_fit.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/align/motions.hpp"
#include "trammel/base/linear_algebra.hpp"

namespace trammel {
namespace {

using Vector6d = Eigen::Matrix<double, 6, 1>;
using Matrix6d = Eigen::Matrix<double, 6, 6>;

constexpr double kLeastFacingRough = 0.5;  // 60°: a rough pose may still be turned a good deal

/// Where a scan point stands to the design.
struct Match {
  int sample = -1;
  double off_plane_mm = 0.0;  ///< along the design's normal
  double beside_mm = 0.0;     ///< within the design's plane, beyond what sampling explains
};

Match match_of(const FacingField& field, const Eigen::Vector3d& p, const Eigen::Vector3d& normal) {
  Match match;
  const int s = field.near(p, normal);
  if (s < 0) return match;
  const Eigen::Vector3d facing = field.samples().normals.col(s);
  if (facing.dot(normal) < kLeastFacingRough) return match;
  const Eigen::Vector3d d = p - field.samples().points_mm.col(s);
  match.sample = s;
  match.off_plane_mm = facing.dot(d);
  const double across =
      std::sqrt(std::max(0.0, d.squaredNorm() - match.off_plane_mm * match.off_plane_mm));
  match.beside_mm = std::max(0.0, across - field.cell_mm());
  return match;
}

double square_of(const Match& m) {
  return m.off_plane_mm * m.off_plane_mm + m.beside_mm * m.beside_mm;
}

/// Without oriented normals both signs are tried and the nearer surface is taken.
Match best_match(const ScanSample& scan, const FacingField& field, const Eigen::Vector3d& p,
                 const Eigen::Vector3d& normal) {
  const Match ahead = match_of(field, p, normal);
  if (scan.oriented) return ahead;
  const Match behind = match_of(field, p, -normal);
  if (ahead.sample < 0) return behind;
  if (behind.sample < 0) return ahead;
  return square_of(behind) < square_of(ahead) ? behind : ahead;
}

/// Normal equations of a small motion (turn, shift) about the centre that the arms start from.
class RoughEquations {
 public:
  /// A point that stands `off_mm` off a plane: its row is (arm × normal, normal).
  void add_plane(double weight, const Eigen::Vector3d& arm, const Eigen::Vector3d& normal,
                 double off_mm) {
    const Eigen::Vector3d turn = arm.cross(normal);
    turns_ += weight * turn * turn.transpose();
    mixed_ += weight * turn * normal.transpose();
    shifts_ += weight * normal * normal.transpose();
    right_turn_ -= weight * off_mm * turn;
    right_shift_ -= weight * off_mm * normal;
  }

  /// A point that stands `off` its place: rows (arm × e, e) of the three axes e, summed up.
  void add_point(double weight, const Eigen::Vector3d& arm, const Eigen::Vector3d& off) {
    arms_ += weight * arm * arm.transpose();
    arm_ += weight * arm;
    weight_ += weight;
    right_turn_ -= weight * arm.cross(off);
    right_shift_ -= weight * off;
  }

  [[nodiscard]] Vector6d motion() const {
    const Eigen::Matrix3d one = Eigen::Matrix3d::Identity();
    Matrix6d left;
    left.topLeftCorner<3, 3>() = turns_ + arms_.trace() * one - arms_;
    left.topRightCorner<3, 3>() = mixed_;
    for (int axis = 0; axis < 3; ++axis)
      left.block<3, 1>(0, 3 + axis) += arm_.cross(Eigen::Vector3d::Unit(axis));
    left.bottomLeftCorner<3, 3>() = left.topRightCorner<3, 3>().transpose();
    left.bottomRightCorner<3, 3>() = shifts_ + weight_ * one;
    // A little damping: what the points do not hold must stay where it is.
    left.diagonal() *= 1.0 + 1e-4;
    left.diagonal().array() += 1e-6 * (1.0 + left.trace());
    Vector6d right;
    right << right_turn_, right_shift_;
    Vector6d motion = solve_symmetric(left, right);
    const double angle = motion.head<3>().norm();
    if (angle > 0.5) motion *= 0.5 / angle;
    return motion;
  }

 private:
  Eigen::Matrix3d turns_ = Eigen::Matrix3d::Zero(), mixed_ = turns_, shifts_ = turns_;
  Eigen::Matrix3d arms_ = turns_;
  Eigen::Vector3d arm_ = Eigen::Vector3d::Zero(), right_turn_ = arm_, right_shift_ = arm_;
  double weight_ = 0.0;
};

}  // namespace

double rough_score(const ScanSample& scan, const FacingField& field,
                   const Eigen::Isometry3d& T_design_scan, Eigen::Index points,
                   double tolerance_mm) {
  const Eigen::Index count = std::min(points, scan.size());
  const double limit = tolerance_mm * tolerance_mm;
  double sum = 0.0;
  for (Eigen::Index i = 0; i < count; ++i) {
    const Match m = best_match(scan, field, T_design_scan * scan.points_mm.col(i),
                               T_design_scan.linear() * scan.normals.col(i));
    if (m.sample >= 0) sum += std::max(0.0, 1.0 - square_of(m) / limit);
  }
  return count > 0 ? sum / static_cast<double>(count) : 0.0;
}

Eigen::Isometry3d rough_fit(const ScanSample& scan, const FacingField& field,
                            Eigen::Isometry3d T_design_scan, const RoughFitSettings& settings) {
  constexpr double kFirstPull = 0.2;  // weight of point-to-point beside point-to-plane
  const Eigen::Index count = std::min(settings.points, scan.size());
  const double ratio = settings.last_tolerance_mm / settings.first_tolerance_mm;
  for (int iteration = 0; iteration < settings.iterations; ++iteration) {
    const double progress = iteration / std::max(1.0, settings.iterations - 1.0);
    const double tolerance = settings.first_tolerance_mm * std::pow(ratio, progress);
    const double pull = kFirstPull * (1.0 - progress) * (1.0 - progress);
    const Eigen::Vector3d center = T_design_scan * scan.points_mm.col(0);
    RoughEquations equations;
    for (Eigen::Index i = 0; i < count; ++i) {
      const Eigen::Vector3d p = T_design_scan * scan.points_mm.col(i);
      const Match m = best_match(scan, field, p, T_design_scan.linear() * scan.normals.col(i));
      if (m.sample < 0) continue;
      // Geman and McClure's weight: near 1 within the tolerance, falling with the fourth power.
      const double root = 1.0 / (1.0 + square_of(m) / (tolerance * tolerance));
      const double weight = root * root;
      const Eigen::Vector3d arm = p - center;
      equations.add_plane(weight, arm, field.samples().normals.col(m.sample), m.off_plane_mm);
      if (pull > 0.0 && m.beside_mm > 0.0)
        equations.add_point(weight * pull, arm, p - field.samples().points_mm.col(m.sample));
    }
    const Vector6d motion = equations.motion();
    if (!motion.allFinite()) break;  // a point at 1e300 mm overflows: the pose stays where it was
    T_design_scan = small_motion(motion, center) * T_design_scan;
  }
  return T_design_scan;
}

}  // namespace trammel
