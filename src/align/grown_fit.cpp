#include "trammel/align/grown_fit.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "motion_row.hpp"
#include "trammel/align/describe_pose.hpp"
#include "trammel/align/motions.hpp"
#include "trammel/base/linear_algebra.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Isometry3d;
using Eigen::Vector3d;
using Vector6d = Eigen::Matrix<double, 6, 1>;

constexpr double kMostGrowth = 0.06;
constexpr double kFirstGrownSigma = 0.006;  // of the diagonal: a kernel 2.8 % wide
constexpr double kStopShare = 1e-5;         // of the diagonal, of a step at a corner
constexpr Index kPointsToTell = 3000;
constexpr int kMostSteps = 40;
constexpr double kLeastOnDesign = 0.9;
constexpr double kLeftOfMisfit = 0.5;
constexpr double kLeastMisfit = 0.1;  // of the noise: a good part
constexpr double kAxesBetter = 0.7;   // of what one factor leaves
constexpr double kClearErrors = 4.0;

Vector3d middle_of(const FineStage& stage) {
  return stage.coarse.box.center_mm();
}

/// They are in random order, so that the first are an even sample too.
ScanSample first_points(const ScanSample& scan, Index count) {
  const Index few = std::min(count, scan.size());
  ScanSample out = scan;
  out.points_mm.conservativeResize(3, few);
  out.normals.conservativeResize(3, few);
  out.share.conservativeResize(few);
  return out;
}

/// The sample as it would be had the part not grown. The growth is about the middle of the design.
ScanSample sized_by(const FineStage& stage, const Isometry3d& T_design_scan,
                    const Vector3d& growth) {
  const Vector3d middle = middle_of(stage), factor = growth.cwiseInverse();
  const Isometry3d T_scan_design = T_design_scan.inverse();
  ScanSample out = stage.scan;
  for (Index i = 0; i < out.size(); ++i) {
    const Vector3d p = T_design_scan * out.points_mm.col(i) - middle;
    out.points_mm.col(i) = T_scan_design * (middle + factor.cwiseProduct(p));
    const Vector3d normal = T_design_scan.linear() * out.normals.col(i);
    out.normals.col(i) = T_scan_design.linear() * normal.cwiseQuotient(factor).stableNormalized();
  }
  return out;
}

/// Normal equations of a step in motion and growth, lengths all.
struct GrowthStep {
  explicit GrowthStep(Index unknowns)
      : matrix(SmallMatrix::Zero(unknowns, unknowns)), right(SmallVector::Zero(unknowns)) {}
  SmallMatrix matrix;
  SmallVector right;
  GrowthStep& operator+=(const GrowthStep& other) {
    matrix += other.matrix;
    right += other.right;
    return *this;
  }
};

/// @param factors  0: motion alone, 1: one for all axes, 3: one an axis
GrowthStep growth_term(const Correspondence& c, double weight, const Vector3d& center,
                       double arm_mm, Index factors) {
  GrowthStep step(6 + factors);
  if (weight <= 0.0) return step;
  const SmallVector row = motion_row(c, center, arm_mm, 6 + factors);
  step.matrix = weight * row.lazyProduct(row.transpose());
  step.right = weight * c.residual_mm * row;
  return step;
}

/// What solves the step: by how much the points lie off by a motion, and have grown.
SmallVector solved(GrowthStep step) {
  step.matrix.diagonal().array() += 1e-7 * step.matrix.trace() + 1e-12;
  return solve_symmetric(step.matrix, step.right);
}

double arm_of(const FineStage& stage) {
  return std::max(0.5 * stage.coarse.diagonal_mm, 1e-9);
}

/// The motion that takes back what `solution` found, design frame.
Isometry3d motion_back(const FineStage& stage, const SmallVector& solution) {
  Vector6d motion = -solution.head<6>();
  motion.head<3>() /= arm_of(stage);
  return small_motion(motion, middle_of(stage));
}

double squared_mm2(const Correspondence& c) {
  return c.residual_mm * c.residual_mm + c.beside_mm * c.beside_mm;
}

/// Mean square of the distances to the design beyond that of the noise, mm².
double misfit_of(const FineStage& stage, const Isometry3d& T) {
  const double reach_mm = kMostGrowth * stage.coarse.diagonal_mm;
  double squares = 0.0, count = 0.0;
  for (const Correspondence& c :
       correspond(stage.scan, stage.design, T, stage.scan.size(), reach_mm)) {
    squares += c.facing ? squared_mm2(c) : 0.0;
    count += c.facing ? 1.0 : 0.0;
  }
  return squares / std::max(1.0, count) - stage.scan.noise_mm * stage.scan.noise_mm;
}

/// What the growth explains of the points that it may have moved.
struct Gain {
  double before_mm2 = 0.0;  ///< mean square of their distances beyond the noise, by the rigid fit
  double after_mm2 = 0.0;   ///< the same of the sized points
  double on_design = 0.0;   ///< share of them that lies on the design once sized
};

/// Of the points that lie no farther from the design than the growth goes: a bench is not of the
/// part. The rims of a sheet are few, and show its growth alone: directions count alike.
Gain gain_of(const FineStage& stage, const Isometry3d& rigid, const GrownFit& fit) {
  const double tolerance_mm = stage.tolerance_mm(fit.sigma_mm);
  const double near_mm = std::max(
      2.0 * tolerance_mm, (fit.growth.array() - 1.0).abs().maxCoeff() * stage.coarse.diagonal_mm);
  const double reach_mm = 2.0 * near_mm;
  auto after = correspond(fit.sized, stage.design, fit.T_design_scan, fit.sized.size(), near_mm);
  const auto before = correspond(stage.scan, stage.design, rigid, stage.scan.size(), reach_mm);
  balance_directions(after);
  Gain gain;
  double count = 0.0;
  for (std::size_t i = 0; i < after.size(); ++i) {
    const Correspondence& c = after[i];
    if (!c.facing) continue;
    count += c.balance;
    gain.after_mm2 += c.balance * squared_mm2(c);
    gain.before_mm2 +=
        c.balance * (before[i].facing ? squared_mm2(before[i]) : reach_mm * reach_mm);
    if (std::sqrt(squared_mm2(c)) <= tolerance_mm) gain.on_design += c.balance;
  }
  count = std::max(1.0, count);
  const double noise_mm2 = stage.scan.noise_mm * stage.scan.noise_mm;
  gain.after_mm2 = gain.after_mm2 / count - noise_mm2;
  gain.before_mm2 = gain.before_mm2 / count - noise_mm2;
  gain.on_design /= count;
  return gain;
}

/// One step of pose and growth together, by the points as sized so far.
/// @return how far it moves a corner at most
double step_on(const FineStage& stage, Index factors, GrownFit& fit) {
  constexpr double kKernels = 5.0;
  auto points = correspond(fit.sized, stage.design, fit.T_design_scan, fit.sized.size(),
                           kKernels * fit.sigma_mm);
  balance_directions(points);
  fit.sigma_mm =
      std::max(inlier_sigma_mm(points, fit.sigma_mm, stage.least_sigma_mm), 0.5 * fit.sigma_mm);
  const SmallVector solution =
      solved(ordered_sum(points.size(), GrowthStep(6 + factors), [&](std::size_t i) {
        const double weight = points[i].balance * tukey_weight(points[i], fit.sigma_mm);
        return growth_term(points[i], weight, middle_of(stage), arm_of(stage), factors);
      }));
  const Isometry3d moved = motion_back(stage, solution) * fit.T_design_scan;
  const SmallVector grown = solution.tail(factors) / arm_of(stage);
  for (Index axis = 0; axis < 3; ++axis)
    fit.growth[axis] *= 1.0 + grown[std::min(axis, factors - 1)];
  const double step_mm = corner_distance_mm(moved, fit.T_design_scan, stage.coarse.box) +
                         arm_of(stage) * grown.cwiseAbs().maxCoeff();
  fit.T_design_scan = moved;
  fit.sized = sized_by(stage, fit.T_design_scan, fit.growth);
  return step_mm;
}

bool is_believable(const Vector3d& growth) {
  return (growth.array() - 1.0).abs().maxCoeff() <= kMostGrowth;
}

/// Until it rests, from where `fit` is.
std::optional<GrownFit> fitted(const FineStage& stage, GrownFit fit, Index factors) {
  const double stop_mm = kStopShare * stage.coarse.diagonal_mm;
  for (int round = 0; round < kMostSteps; ++round) {
    const double before_mm = fit.sigma_mm;
    const double step_mm = step_on(stage, factors, fit);
    if (!is_believable(fit.growth)) return {};
    if (step_mm < stop_mm && fit.sigma_mm > 0.9 * before_mm) return fit;
  }
  return {};
}

/// The growth lies beyond what its errors allow.
bool is_clear(const FineStage& stage, const GrownFit& fit, Index factors) {
  const FineStage sized(fit.sized, stage.design, stage.coarse);
  SurfaceFit at;
  at.T_design_scan = fit.T_design_scan;
  at.sigma_mm = fit.sigma_mm;
  const ScaleEstimate scale = freedom_at(sized, at).scale;
  const auto beyond = [](double growth, double error) {
    return error > 0.0 && std::abs(growth - 1.0) > kClearErrors * error;
  };
  if (factors == 1) return beyond(fit.growth[0], scale.standard_error);
  bool clear = false;
  for (Index axis = 0; axis < 3; ++axis)
    clear = clear || beyond(fit.growth[axis], scale.axes_standard_error[axis]);
  return clear;
}

/// Some of the points tell whether growth is what is wrong.
std::optional<GrownFit> grown_by_some(const FineStage& some, const SurfaceFit& rigid,
                                      Index& factors) {
  const double noise = some.scan.noise_mm;
  if (misfit_of(some, rigid.T_design_scan) < kLeastMisfit * noise * noise) return {};
  GrownFit start;
  start.T_design_scan = rigid.T_design_scan;
  start.sized = some.scan;
  start.sigma_mm = std::max(rigid.sigma_mm, kFirstGrownSigma * some.coarse.diagonal_mm);
  std::optional<GrownFit> best;
  double allowed_mm2 = HUGE_VAL;
  for (const Index tried : {1, 3}) {
    auto fit = fitted(some, start, tried);
    if (!fit) continue;
    const Gain gain = gain_of(some, rigid.T_design_scan, *fit);
    const bool explains =
        gain.on_design >= kLeastOnDesign && gain.after_mm2 <= kLeftOfMisfit * gain.before_mm2;
    if (!explains || gain.after_mm2 > allowed_mm2 || !is_clear(some, *fit, tried)) continue;
    best = std::move(fit);
    factors = tried;
    allowed_mm2 = kAxesBetter * gain.after_mm2;
  }
  return best;
}

}  // namespace

std::optional<GrownFit> fit_grown(const FineStage& stage, const SurfaceFit& rigid) {
  const ScanSample first = first_points(stage.scan, kPointsToTell);
  const FineStage some(first, stage.design, stage.coarse);
  Index factors = 0;
  auto fit = grown_by_some(some, rigid, factors);
  if (!fit) return {};
  fit->sized = sized_by(stage, fit->T_design_scan, fit->growth);
  fit = fitted(stage, std::move(*fit), factors);
  if (!fit || !is_clear(stage, *fit, factors)) return {};
  return fit;
}

Rival as_it_is(const FineStage& stage, const FineStage& sized, Rival at) {
  const Isometry3d T_fits = at.fit.T_design_scan;
  const double reach_mm = 5.0 * at.fit.sigma_mm;
  auto points = correspond(sized.scan, sized.design, T_fits, sized.scan.size(), reach_mm);
  balance_directions(points);
  Isometry3d& T = at.fit.T_design_scan;
  double squares = 0.0, count = 0.0;
  constexpr int kSteps = 3;  // the planes stay: only the turn is not linear, and it is small
  for (int step = 0; step < kSteps; ++step) {
    GrowthStep sum(6);
    squares = count = 0.0;
    for (std::size_t i = 0; i < points.size(); ++i) {
      const double weight = points[i].balance * tukey_weight(points[i], at.fit.sigma_mm);
      if (weight <= 0.0) continue;
      Correspondence c = points[i];
      const Vector3d foot = c.p_design - c.residual_mm * c.normal;
      c.p_design = T * stage.scan.points_mm.col(static_cast<Index>(i));
      c.residual_mm = c.normal.dot(c.p_design - foot);
      sum += growth_term(c, weight, middle_of(stage), arm_of(stage), 0);
      squares += c.residual_mm * c.residual_mm;
      count += 1.0;
    }
    if (step + 1 < kSteps) T = motion_back(stage, solved(std::move(sum))) * T;
  }
  at.evidence.rms_mm = std::sqrt(squares / std::max(1.0, count));
  return at;
}

ScaleEstimate scale_as_it_is(ScaleEstimate of_sized, const Vector3d& growth) {
  of_sized.axes = of_sized.axes.cwiseProduct(growth);
  of_sized.uniform *= std::cbrt(growth.prod());
  return of_sized;
}

}  // namespace trammel
