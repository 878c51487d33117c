#include "trammel/align/surface_fit.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "trammel/align/motions.hpp"
#include "trammel/align/round_design.hpp"
#include "trammel/base/linear_algebra.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel {
namespace {

using Vector6d = Eigen::Matrix<double, 6, 1>;

constexpr double kLeastFacingFit = 0.5;  // surfaces turned more than 60° apart are not the same one
constexpr double kTukeyWidth = 4.685;    // 95 % efficiency [Holland & Welsch 1977]

/// Normal equations of one step.
struct Step {
  Matrix6d matrix = Matrix6d::Zero();
  Vector6d right = Vector6d::Zero();
  Step& operator+=(const Step& other) {
    matrix += other.matrix;
    right += other.right;
    return *this;
  }
};

Step term_of(const Correspondence& at, double sigma_mm, const Eigen::Vector3d& center,
             double arm_mm) {
  Step step;
  const double weight = at.balance * tukey_weight(at, sigma_mm);
  if (weight <= 0.0) return step;
  Vector6d row;
  row << (at.p_design - center).cross(at.normal) / arm_mm, at.normal;
  step.matrix = weight * row * row.transpose();
  step.right = -weight * at.residual_mm * row;
  return step;
}

/// Leaves the motion out of the step, as if it had no share in any row.
void hold_turn(Step& step, const Vector6d& motion) {
  const Matrix6d rest = Matrix6d::Identity() - motion * motion.transpose();
  step.matrix = rest * step.matrix * rest;
  step.right = rest * step.right;
}

/// Lengthens or shortens steps that go on along one line: what they became from one to the next
/// tells where along it they end (the secant method). Without it, fits creep along what the scan
/// hardly holds, or swing about the place for ever, as points near the rim of the kernel come and
/// go.
class StepLength {
 public:
  /// @param step  turn times arm and shift, mm, as the normal equations have it
  /// @return what to multiply it by: 1 unless it goes along the line of the one before
  double next(const Vector6d& step) {
    constexpr double kSameLine = 0.9, kLeast = 1.0 / 64.0, kMost = 4.0;
    const double before = last_.norm(), along = step.dot(last_);
    const bool same_line = std::abs(along) > kSameLine * before * step.norm() && before > 0.0;
    const double left = 1.0 - (same_line ? along / (before * before) : 0.0);
    // A step no shorter than the one before gives no end to go to: as far as is allowed.
    length_ = !same_line ? 1.0 : left > length_ / kMost ? std::max(kLeast, length_ / left) : kMost;
    last_ = step;
    return length_;
  }

 private:
  Vector6d last_ = Vector6d::Zero();
  double length_ = 1.0;
};

/// Estimated normals mix both faces at the rim of thin sheet, so they choose no face.
SurfacePoint opposite_point(const ScanSample& scan, const SurfaceIndex& design,
                            const Eigen::Vector3d& p, const Eigen::Vector3d& normal,
                            double reach_mm) {
  return scan.oriented ? design.nearest_facing(p, normal, kLeastFacingFit, reach_mm)
                       : design.nearest(p, reach_mm);
}

}  // namespace

std::vector<Correspondence> correspond(const ScanSample& scan, const SurfaceIndex& design,
                                       const Eigen::Isometry3d& T_design_scan, Eigen::Index points,
                                       double reach_mm) {
  const auto count = static_cast<std::size_t>(std::min(points, scan.size()));
  std::vector<Correspondence> result(count);
  for_each_index(
      count,
      [&](std::size_t i) {
        const auto at = static_cast<Eigen::Index>(i);
        Correspondence& c = result[i];
        c.p_design = T_design_scan * scan.points_mm.col(at);
        const Eigen::Vector3d normal = T_design_scan.linear() * scan.normals.col(at);
        const SurfacePoint foot = opposite_point(scan, design, c.p_design, normal, reach_mm);
        if (!foot.found()) return;
        c.facing = true;
        c.normal = design.face_normal(foot.triangle);
        const Eigen::Vector3d d = c.p_design - foot.foot_mm;
        c.residual_mm = c.normal.dot(d);
        c.beside_mm = (d - c.residual_mm * c.normal).norm();
      },
      256);
  return result;
}

void balance_directions(std::vector<Correspondence>& points) {
  constexpr double kLeast = 0.5, kMost = 4.0;
  const auto direction = [](const Correspondence& c) {
    Eigen::Index axis = 0;
    c.normal.cwiseAbs().maxCoeff(&axis);
    return static_cast<std::size_t>(2 * axis + (c.normal[axis] < 0.0 ? 1 : 0));
  };
  std::array<double, 6> count{};
  double all = 0.0;
  for (const Correspondence& c : points) {
    if (!c.facing) continue;
    count[direction(c)] += 1.0;
    all += 1.0;
  }
  for (Correspondence& c : points) {
    if (c.facing) c.balance = std::clamp(all / (6.0 * count[direction(c)]), kLeast, kMost);
  }
}

double inlier_sigma_mm(const std::vector<Correspondence>& points, double start_mm,
                       double least_mm) {
  double sigma = std::max(start_mm, least_mm);
  std::vector<double> within;
  for (int round = 0; round < 20; ++round) {
    within.clear();
    for (const Correspondence& c : points)
      if (c.facing && std::hypot(c.residual_mm, c.beside_mm) < 3.0 * sigma)
        within.push_back(std::abs(c.residual_mm));
    if (within.empty()) return sigma;
    const double next = std::max(least_mm, 1.4826 * median_of(within));
    if (next > 0.98 * sigma) return std::min(sigma, next);
    sigma = next;
  }
  return sigma;
}

double tukey_weight(const Correspondence& at, double sigma_mm) {
  if (!at.facing) return 0.0;
  const double width = kTukeyWidth * sigma_mm;
  const double u =
      (at.residual_mm * at.residual_mm + at.beside_mm * at.beside_mm) / (width * width);
  return u < 1.0 ? (1.0 - u) * (1.0 - u) : 0.0;
}

SurfaceFit fit_to_surface(const ScanSample& scan, const SurfaceIndex& design,
                          const Eigen::Isometry3d& start, const SurfaceFitSettings& settings) {
  const Box box = bounding_box(design.mesh().vertices_mm);
  const Eigen::Vector3d center = box.center_mm();
  const double arm_mm = std::max(0.5 * box.diagonal_mm(), 1e-9);
  SurfaceFit fit;
  fit.T_design_scan = start;
  fit.sigma_mm = std::max(settings.first_sigma_mm, settings.least_sigma_mm);
  StepLength length;
  while (fit.iterations < settings.most_iterations && !fit.converged) {
    ++fit.iterations;
    auto points = correspond(scan, design, fit.T_design_scan, settings.points,
                             1.01 * kTukeyWidth * fit.sigma_mm);
    balance_directions(points);
    const double before = fit.sigma_mm;
    // The kernel narrows by half a step at most, so that the fit can follow.
    fit.sigma_mm = std::max(inlier_sigma_mm(points, fit.sigma_mm, settings.least_sigma_mm),
                            0.5 * fit.sigma_mm);
    Step step = ordered_sum(points.size(), Step{}, [&](std::size_t i) {
      return term_of(points[i], fit.sigma_mm, center, arm_mm);
    });
    if (settings.round) hold_turn(step, turn_about_axis(*settings.round, center, arm_mm));
    // What the points do not hold stays where it is.
    step.matrix.diagonal().array() += 1e-7 * step.matrix.trace() + 1e-12;
    Vector6d motion = solve_symmetric(step.matrix, step.right);
    motion *= length.next(motion);
    motion.head<3>() /= arm_mm;
    const Eigen::Isometry3d moved = small_motion(motion, center) * fit.T_design_scan;
    fit.converged = corner_distance_mm(moved, fit.T_design_scan, box) < settings.stop_mm &&
                    fit.sigma_mm > 0.9 * before;
    fit.T_design_scan = moved;
  }
  // Products of many rotations: square it up again.
  fit.T_design_scan.linear() =
      Eigen::Quaterniond(fit.T_design_scan.linear()).normalized().toRotationMatrix();
  return fit;
}

}  // namespace trammel
