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
    Matrix6d normal_matrix = Matrix6d::Zero();
    Vector6d right = Vector6d::Zero();
    for (Eigen::Index i = 0; i < count; ++i) {
      const Eigen::Vector3d p = T_design_scan * scan.points_mm.col(i);
      const Match m = best_match(scan, field, p, T_design_scan.linear() * scan.normals.col(i));
      if (m.sample < 0) continue;
      // Geman and McClure's weight: near 1 within the tolerance, falling with the fourth power.
      const double root = 1.0 / (1.0 + square_of(m) / (tolerance * tolerance));
      const double weight = root * root;
      const Eigen::Vector3d arm = p - center;
      const Eigen::Vector3d n = field.samples().normals.col(m.sample);
      Vector6d row;
      row << arm.cross(n), n;
      normal_matrix.noalias() += weight * row * row.transpose();
      right -= weight * m.off_plane_mm * row;
      if (pull > 0.0 && m.beside_mm > 0.0) {
        const Eigen::Vector3d d = p - field.samples().points_mm.col(m.sample);
        for (int axis = 0; axis < 3; ++axis) {
          row << arm.cross(Eigen::Vector3d::Unit(axis)), Eigen::Vector3d::Unit(axis);
          normal_matrix.noalias() += weight * pull * row * row.transpose();
          right -= weight * pull * d[axis] * row;
        }
      }
    }
    // A little damping: what the points do not hold must stay where it is.
    normal_matrix.diagonal() *= 1.0 + 1e-4;
    normal_matrix.diagonal().array() += 1e-6 * (1.0 + normal_matrix.trace());
    Vector6d motion = solve_symmetric(normal_matrix, right);
    const double angle = motion.head<3>().norm();
    if (angle > 0.5) motion *= 0.5 / angle;
    T_design_scan = small_motion(motion, center) * T_design_scan;
  }
  return T_design_scan;
}

}  // namespace trammel
