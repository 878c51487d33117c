#include "trammel/geometry/fit_cylinder.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/linear_algebra.hpp"

namespace trammel {
namespace {

using Eigen::Matrix3Xd;
using Eigen::Vector2d;
using Eigen::Vector3d;
using Eigen::VectorXd;

constexpr int kMostIterations = 200;
constexpr double kTinyStep = 1e-13;     // of the radius
constexpr double kRoundingStep = 1e-9;  // a step this small that gains nothing is rounding

/// The normal equations of one step. Unknowns: centre along u and v, radius, then the tilts of the
/// axis towards u and v as slopes.
struct NormalEquations {
  SmallMatrix matrix;
  SmallVector gradient;
  double cost = 0.0;  ///< Σ w d²
};

NormalEquations normal_equations(const Matrix3Xd& points, const VectorXd& weights,
                                 const Cylinder& cylinder, int unknowns) {
  const auto [u, v] = across(cylinder.axis);
  NormalEquations equations{SmallMatrix::Zero(unknowns, unknowns), SmallVector::Zero(unknowns),
                            0.0};
  SmallVector row(unknowns);
  for (Eigen::Index i = 0; i < points.cols(); ++i) {
    const Vector3d arm = points.col(i) - cylinder.center_mm;
    const Vector2d flat(arm.dot(u), arm.dot(v));
    const double length = flat.norm();
    if (weights[i] <= 0.0 || length == 0.0) continue;
    const Vector2d outward = flat / length;
    const double residual = length - cylinder.radius_mm;
    row.head<3>() << -outward.x(), -outward.y(), -1.0;
    if (unknowns == 5) row.tail<2>() = -cylinder.axis.dot(arm) * outward;
    equations.matrix.noalias() += weights[i] * row * row.transpose();
    equations.gradient += weights[i] * residual * row;
    equations.cost += weights[i] * residual * residual;
  }
  return equations;
}

Cylinder stepped(const Cylinder& from, const SmallVector& step) {
  const auto [u, v] = across(from.axis);
  Cylinder to = from;
  to.center_mm += step[0] * u + step[1] * v;
  to.radius_mm += step[2];
  if (step.size() == 5) to.axis = (from.axis + step[3] * u + step[4] * v).normalized();
  return to;
}

double cost_of(const Matrix3Xd& points, const VectorXd& weights, const Cylinder& cylinder) {
  double cost = 0.0;
  for (Eigen::Index i = 0; i < points.cols(); ++i) {
    const double residual = distance_to(cylinder, points.col(i));
    cost += weights[i] * residual * residual;
  }
  return cost;
}

double largest_root(const Eigen::Matrix2d& covariance) {
  const double mean = 0.5 * covariance.trace();
  const double half_difference = 0.5 * (covariance(0, 0) - covariance(1, 1));
  return std::sqrt(std::max(0.0, mean + std::hypot(half_difference, covariance(0, 1))));
}

/// Standard errors from the curvature at the answer; nothing where the points leave it free.
bool fill_errors(const NormalEquations& at_answer, double weight_sum, CylinderFit& fit) {
  const auto unknowns = at_answer.matrix.rows();
  // Scaled to a unit diagonal, so that mm and slopes compare.
  const SmallVector scale = at_answer.matrix.diagonal().cwiseSqrt();
  if (scale.head<3>().minCoeff() <= 0.0) return false;
  // Points of one depth leave the axis free; what slope they seem to hold is rounding.
  const double least_spread = 1e-6 * fit.cylinder.radius_mm * std::sqrt(weight_sum);
  if (unknowns == 5 && scale.tail<2>().minCoeff() <= least_spread) return false;
  const SmallMatrix scales = scale * scale.transpose();
  const SmallMatrix scaled = at_answer.matrix.array() / scales.array();
  if (symmetric_eigen(scaled).values[0] < 1e-10) return false;
  SmallMatrix inverse = solve_symmetric(scaled, SmallMatrix::Identity(unknowns, unknowns));
  inverse.array() /= scales.array();
  const double freedom = weight_sum - static_cast<double>(unknowns);
  const double variance = freedom > 0.0 ? at_answer.cost / freedom : 0.0;
  fit.rms_mm = std::sqrt(variance);
  fit.center_error_mm = largest_root(variance * inverse.topLeftCorner<2, 2>());
  fit.radius_error_mm = std::sqrt(variance * inverse(2, 2));
  if (unknowns == 5)
    fit.tilt_error_rad = largest_root(variance * inverse.bottomRightCorner<2, 2>());
  return true;
}

/// Moves the centre along the axis to the mean depth: there centre and tilt are least entangled.
void center_on_points(const Matrix3Xd& points, const VectorXd& weights, Cylinder& cylinder) {
  Vector3d mean = Vector3d::Zero();
  for (Eigen::Index i = 0; i < points.cols(); ++i)
    mean += weights[i] * points.col(i);
  mean /= weights.sum();
  cylinder.center_mm += cylinder.axis.dot(mean - cylinder.center_mm) * cylinder.axis;
}

}  // namespace

double distance_to(const Cylinder& cylinder, const Vector3d& point_mm) {
  const Vector3d arm = point_mm - cylinder.center_mm;
  return (arm - cylinder.axis.dot(arm) * cylinder.axis).norm() - cylinder.radius_mm;
}

Across across(const Vector3d& axis) {
  const Vector3d u = axis.unitOrthogonal();
  return {u, axis.cross(u)};
}

std::optional<CylinderFit> fit_cylinder(const Matrix3Xd& points_mm, const VectorXd& weights,
                                        const Cylinder& start, AxisChoice choice) {
  const int unknowns = choice == AxisChoice::Free ? 5 : 3;
  if ((weights.array() > 0.0).count() < unknowns) return std::nullopt;
  CylinderFit fit;
  fit.cylinder = start;
  double damping = 1e-3;
  for (fit.iterations = 0; fit.iterations < kMostIterations; ++fit.iterations) {
    center_on_points(points_mm, weights, fit.cylinder);
    const auto equations = normal_equations(points_mm, weights, fit.cylinder, unknowns);
    SmallMatrix damped = equations.matrix;
    damped.diagonal() *= 1.0 + damping;
    const SmallVector step = -solve_symmetric(damped, equations.gradient);
    if (!step.allFinite()) return std::nullopt;
    const Cylinder next = stepped(fit.cylinder, step);
    const double cost = cost_of(points_mm, weights, next);
    const bool smaller = cost < equations.cost;
    if (smaller) fit.cylinder = next;
    damping = std::clamp(smaller ? damping * 0.1 : damping * 10.0, 1e-12, 1e12);
    const double size = std::abs(fit.cylinder.radius_mm) + 1e-300;
    const double length = step.head<3>().norm();
    if (length <= (smaller ? kTinyStep : kRoundingStep) * size || damping >= 1e12) break;
  }
  center_on_points(points_mm, weights, fit.cylinder);
  const auto at_answer = normal_equations(points_mm, weights, fit.cylinder, unknowns);
  const bool settled = fit.iterations < kMostIterations && fit.cylinder.radius_mm > 0.0;
  if (!settled || !fill_errors(at_answer, weights.sum(), fit)) return std::nullopt;
  return fit;
}

std::optional<Cylinder> algebraic_circle(const Matrix3Xd& points_mm, const Vector3d& axis) {
  if (points_mm.cols() < 3) return std::nullopt;
  const auto [u, v] = across(axis);
  const Vector3d mean = points_mm.rowwise().mean();
  Eigen::MatrixXd rows(points_mm.cols(), 3);
  VectorXd squares(points_mm.cols());
  for (Eigen::Index i = 0; i < points_mm.cols(); ++i) {
    const Vector3d arm = points_mm.col(i) - mean;
    const Vector2d flat(arm.dot(u), arm.dot(v));
    rows.row(i) << 2.0 * flat.x(), 2.0 * flat.y(), 1.0;
    squares[i] = flat.squaredNorm();
  }
  const auto solved = least_squares(rows, squares);
  if (!solved) return std::nullopt;
  const Vector3d answer = *solved;
  const double radius_squared = answer[2] + answer.head<2>().squaredNorm();
  if (!(radius_squared > 0.0)) return std::nullopt;
  return Cylinder{mean + answer[0] * u + answer[1] * v, axis, std::sqrt(radius_squared)};
}

}  // namespace trammel
