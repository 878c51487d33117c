#include "trammel/geometry/fit_slot.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

#include "trammel/base/linear_algebra.hpp"

namespace trammel {
namespace {

using Eigen::Matrix3Xd;
using Eigen::Vector2d;
using Eigen::Vector3d;
using Eigen::VectorXd;

constexpr int kMostSlotSteps = 200;
constexpr double kTinySlotStep = 1e-13;     // of the radius
constexpr double kRoundingSlotStep = 1e-9;  // a step this small that gains nothing is rounding
constexpr int kHeldUnknowns = 5, kFreeUnknowns = 7;

/// The normal equations of one step: centre along and across, radius, half the straight length,
/// turn, then the slopes of the axis along and across.
struct SlotEquations {
  SmallMatrix matrix;
  SmallVector gradient;
  double cost = 0.0;  ///< Σ w d²
};

/// How the distance of a point changes with each unknown.
SmallVector slot_row(const SlotShape& slot, const Vector3d& arm, const Vector2d& flat,
                     const Vector2d& outward, int unknowns) {
  SmallVector row(unknowns);
  const double side = flat.x() > slot.half_straight_mm    ? 1.0
                      : flat.x() < -slot.half_straight_mm ? -1.0
                                                          : 0.0;
  row.head<5>() << -outward.x(), -outward.y(), -1.0, -side * outward.x(),
      outward.x() * flat.y() - outward.y() * flat.x();
  if (unknowns == kFreeUnknowns) row.tail<2>() = -slot.axis.dot(arm) * outward;
  return row;
}

SlotEquations slot_equations(const Matrix3Xd& points, const VectorXd& weights,
                             const SlotShape& slot, int unknowns) {
  SlotEquations equations{SmallMatrix::Zero(unknowns, unknowns), SmallVector::Zero(unknowns), 0.0};
  for (Eigen::Index i = 0; i < points.cols(); ++i) {
    const Vector2d flat = slot.flat(points.col(i));
    const Vector2d from_line = arm_from_middle_line(slot.half_straight_mm, flat);
    const double length = from_line.norm();
    if (weights[i] <= 0.0 || length == 0.0) continue;
    const double residual = length - slot.radius_mm;
    const SmallVector row =
        slot_row(slot, points.col(i) - slot.center_mm, flat, from_line / length, unknowns);
    equations.matrix.noalias() += weights[i] * row * row.transpose();
    equations.gradient += weights[i] * residual * row;
    equations.cost += weights[i] * residual * residual;
  }
  return equations;
}

SlotShape slot_stepped(const SlotShape& from, const SmallVector& step) {
  SlotShape to = from;
  to.center_mm += step[kSlotAlong] * from.along + step[kSlotAcross] * from.across();
  to.radius_mm += step[kSlotRadius];
  to.half_straight_mm = std::max(0.0, to.half_straight_mm + step[kSlotStraight]);
  if (step.size() == kFreeUnknowns)
    to.axis = (from.axis + step[5] * from.along + step[6] * from.across()).normalized();
  const Vector3d along = from.along + step[kSlotTurn] * from.across();
  to.along = (along - to.axis.dot(along) * to.axis).normalized();
  return to;
}

double slot_cost(const Matrix3Xd& points, const VectorXd& weights, const SlotShape& slot) {
  double cost = 0.0;
  for (Eigen::Index i = 0; i < points.cols(); ++i) {
    const double residual = distance_to(slot, points.col(i));
    cost += weights[i] * residual * residual;
  }
  return cost;
}

/// Moves the centre along the axis to the mean depth: there centre and tilt are least entangled.
void settle_depth(const Matrix3Xd& points, const VectorXd& weights, SlotShape& slot) {
  const Vector3d mean = points * weights / weights.sum();
  slot.center_mm += slot.axis.dot(mean - slot.center_mm) * slot.axis;
}

double largest_root_of(const Eigen::Matrix2d& covariance) {
  const double half_difference = 0.5 * (covariance(0, 0) - covariance(1, 1));
  return 0.5 * covariance.trace() + std::hypot(half_difference, covariance(0, 1));
}

/// Standard errors from the curvature at the answer; nothing where the points leave it free.
bool fill_slot_errors(const SlotEquations& at_answer, double weight_sum, SlotFit& fit) {
  const auto unknowns = at_answer.matrix.rows();
  const SmallVector scale = at_answer.matrix.diagonal().cwiseSqrt();
  const double least_spread = 1e-6 * fit.slot.radius_mm * std::sqrt(weight_sum);
  if (scale.head<5>().minCoeff() <= 1e-6 * std::sqrt(weight_sum)) return false;
  if (unknowns == kFreeUnknowns && scale.tail<2>().minCoeff() <= least_spread) return false;
  const SmallMatrix scales = scale * scale.transpose();
  const SmallMatrix scaled = at_answer.matrix.array() / scales.array();
  if (symmetric_eigen(scaled).values[0] < 1e-10) return false;
  SmallMatrix inverse = solve_symmetric(scaled, SmallMatrix::Identity(unknowns, unknowns));
  inverse.array() /= scales.array();
  const double freedom = weight_sum - static_cast<double>(unknowns);
  const double variance = freedom > 0.0 ? at_answer.cost / freedom : 0.0;
  fit.rms_mm = std::sqrt(variance);
  fit.covariance = variance * inverse.topLeftCorner<5, 5>();
  if (unknowns == kFreeUnknowns)
    fit.tilt_error_rad = std::sqrt(variance * largest_root_of(inverse.bottomRightCorner<2, 2>()));
  return true;
}

}  // namespace

Vector2d SlotShape::flat(const Vector3d& point_mm) const {
  const Vector3d arm = point_mm - center_mm;
  return {arm.dot(along), arm.dot(across())};
}

Vector2d arm_from_middle_line(double half_straight_mm, const Vector2d& flat_mm) {
  return {flat_mm.x() - std::clamp(flat_mm.x(), -half_straight_mm, half_straight_mm), flat_mm.y()};
}

double distance_to(const SlotShape& slot, const Vector3d& point_mm) {
  return arm_from_middle_line(slot.half_straight_mm, slot.flat(point_mm)).norm() - slot.radius_mm;
}

std::optional<SlotFit> fit_slot(const Matrix3Xd& points_mm, const VectorXd& weights,
                                const SlotShape& start, AxisChoice choice) {
  const int unknowns = choice == AxisChoice::Free ? kFreeUnknowns : kHeldUnknowns;
  if ((weights.array() > 0.0).count() < unknowns) return std::nullopt;
  SlotFit fit;
  fit.slot = start;
  double damping = 1e-3;
  for (fit.iterations = 0; fit.iterations < kMostSlotSteps; ++fit.iterations) {
    settle_depth(points_mm, weights, fit.slot);
    const auto equations = slot_equations(points_mm, weights, fit.slot, unknowns);
    SmallMatrix damped = equations.matrix;
    damped.diagonal() *= 1.0 + damping;
    const SmallVector step = -solve_symmetric(damped, equations.gradient);
    if (!step.allFinite()) return std::nullopt;
    const SlotShape next = slot_stepped(fit.slot, step);
    const double cost = slot_cost(points_mm, weights, next);
    const bool smaller = cost < equations.cost;
    if (smaller) fit.slot = next;
    damping = std::clamp(smaller ? damping * 0.1 : damping * 10.0, 1e-12, 1e12);
    const double size = std::abs(fit.slot.radius_mm) + 1e-300;
    const double length = step.head<4>().norm();
    if (length <= (smaller ? kTinySlotStep : kRoundingSlotStep) * size || damping >= 1e12) break;
  }
  settle_depth(points_mm, weights, fit.slot);
  const auto at_answer = slot_equations(points_mm, weights, fit.slot, unknowns);
  const bool settled = fit.iterations < kMostSlotSteps && fit.slot.radius_mm > 0.0 &&
                       fit.slot.half_straight_mm > 0.0;
  if (!settled || !fill_slot_errors(at_answer, weights.sum(), fit)) return std::nullopt;
  return fit;
}

SlotErrors slot_errors(const Eigen::Matrix<double, 5, 5>& covariance, double half_straight_mm) {
  const double along = covariance(kSlotAlong, kSlotAlong);
  const double across = covariance(kSlotAcross, kSlotAcross);
  const double turned = half_straight_mm * half_straight_mm * covariance(kSlotTurn, kSlotTurn) +
                        2.0 * half_straight_mm * std::abs(covariance(kSlotAcross, kSlotTurn));
  const double radius = covariance(kSlotRadius, kSlotRadius);
  const double half_length = covariance(kSlotStraight, kSlotStraight) + radius +
                             2.0 * covariance(kSlotStraight, kSlotRadius);
  SlotErrors out;
  out.center_mm = std::sqrt(std::max({0.0, along, across}));
  out.end_mm = std::sqrt(std::max({0.0, along, across + turned}));
  out.width_mm = 2.0 * std::sqrt(std::max(0.0, radius));
  out.length_mm = 2.0 * std::sqrt(std::max(0.0, half_length));
  return out;
}

}  // namespace trammel
