#pragma once

/// Geometric least squares of a wall that lies everywhere at one distance from a line: what
/// fit_cylinder and fit_slot share.
///
/// A wall is told to it by `Steps`, made from a shape (`center_mm`, `axis`, `radius_mm`):
/// - `kUnknowns`: the centre in the cross plane and sizes, then two slopes of the axis where it is
///   free;
/// - `kHeld`: how many they are while the axis is held;
/// - `kLengths`: how many of them, the first, are lengths;
/// - `reading(point)`: what normal equations need of a point; nothing on the line itself;
/// - `stepped(step)`: the shape after a step of the unknowns.

#include <Eigen/Core>
#include <algorithm>
#include <cmath>
#include <optional>

#include "trammel/base/linear_algebra.hpp"

namespace trammel::wall_fit {

inline constexpr int kMostIterations = 200;
inline constexpr double kTinyStep = 1e-13;     // of the radius
inline constexpr double kRoundingStep = 1e-9;  // a step this small that gains nothing is rounding

/// How far a point lies off the wall, and how that changes with each unknown.
template <int kUnknowns>
struct Reading {
  double off_mm;
  Eigen::Matrix<double, kUnknowns, 1> change;
};

/// The normal equations of one step.
template <int kUnknowns>
struct NormalEquations {
  using Square = Eigen::Matrix<double, kUnknowns, kUnknowns>;
  using Column = Eigen::Matrix<double, kUnknowns, 1>;
  Square matrix = Square::Zero();
  Column gradient = Column::Zero();
  double cost = 0.0;  ///< Σ w d²
};

template <typename Steps>
NormalEquations<Steps::kUnknowns> normal_equations(const Eigen::Matrix3Xd& points,
                                                   const Eigen::VectorXd& weights,
                                                   const Steps& steps) {
  NormalEquations<Steps::kUnknowns> out;
  for (Eigen::Index i = 0; i < points.cols(); ++i) {
    if (weights[i] <= 0.0) continue;
    const auto reading = steps.reading(points.col(i));
    if (!reading) continue;
    const auto& row = reading->change;
    out.matrix.noalias() += weights[i] * row * row.transpose();
    out.gradient += weights[i] * reading->off_mm * row;
    out.cost += weights[i] * reading->off_mm * reading->off_mm;
  }
  return out;
}

template <typename Shape>
double cost_of(const Eigen::Matrix3Xd& points, const Eigen::VectorXd& weights, const Shape& shape) {
  double cost = 0.0;
  for (Eigen::Index i = 0; i < points.cols(); ++i) {
    const double off = distance_to(shape, points.col(i));
    cost += weights[i] * off * off;
  }
  return cost;
}

/// Moves the centre along the axis to the mean depth: there centre and tilt are least entangled.
template <typename Shape>
void put_level_with(const Eigen::Vector3d& mean_mm, Shape& shape) {
  shape.center_mm += shape.axis.dot(mean_mm - shape.center_mm) * shape.axis;
}

template <typename Steps>
struct Settled {
  typename Steps::Shape shape;                  ///< centre level with the mean
  NormalEquations<Steps::kUnknowns> at_answer;  ///< there
  int iterations = 0;
};

/// Levenberg–Marquardt.
/// @param mean_mm  the weighted mean of the points
/// @return nothing when there are too few points or the steps do not settle
template <typename Steps>
std::optional<Settled<Steps>> settle(const Eigen::Matrix3Xd& points, const Eigen::VectorXd& weights,
                                     const typename Steps::Shape& start,
                                     const Eigen::Vector3d& mean_mm) {
  if ((weights.array() > 0.0).count() < Steps::kUnknowns) return std::nullopt;
  Settled<Steps> out;
  auto& shape = out.shape = start;
  double damping = 1e-3;
  for (; out.iterations < kMostIterations; ++out.iterations) {
    put_level_with(mean_mm, shape);
    const Steps steps(shape);
    const auto equations = normal_equations(points, weights, steps);
    SmallMatrix damped = equations.matrix;
    damped.diagonal() *= 1.0 + damping;
    const SmallVector step = -solve_symmetric(damped, equations.gradient);
    if (!step.allFinite()) return std::nullopt;
    const auto next = steps.stepped(step);
    const bool smaller = cost_of(points, weights, next) < equations.cost;
    if (smaller) shape = next;
    damping = std::clamp(smaller ? damping * 0.1 : damping * 10.0, 1e-12, 1e12);
    const double size = std::abs(shape.radius_mm) + 1e-300;
    const double length = step.template head<Steps::kLengths>().norm();
    if (length <= (smaller ? kTinyStep : kRoundingStep) * size || damping >= 1e12) break;
  }
  if (out.iterations == kMostIterations || !(shape.radius_mm > 0.0)) return std::nullopt;
  put_level_with(mean_mm, shape);
  out.at_answer = normal_equations(points, weights, Steps(shape));
  return out;
}

/// How well the points hold the answer: its covariance is `variance · inverse`.
struct Hold {
  SmallMatrix inverse;
  double variance = 0.0;  ///< mm², of a point of weight 1
};

/// From the curvature at the answer; nothing where the points leave it free.
/// @param least_change  of an unknown but the slopes, over √(Σ w): what less moves is free
template <typename Steps>
std::optional<Hold> hold_of(const Settled<Steps>& settled, double weight_sum, double least_change) {
  const SmallMatrix matrix = settled.at_answer.matrix;
  // Scaled to a unit diagonal, so that mm and slopes compare.
  const SmallVector scale = matrix.diagonal().cwiseSqrt();
  if (scale.template head<Steps::kHeld>().minCoeff() <= least_change * std::sqrt(weight_sum))
    return std::nullopt;
  // Points of one depth leave the axis free; what slope they seem to hold is rounding.
  const double least_spread = 1e-6 * settled.shape.radius_mm * std::sqrt(weight_sum);
  if (Steps::kUnknowns > Steps::kHeld && scale.template tail<2>().minCoeff() <= least_spread)
    return std::nullopt;
  const SmallMatrix scales = scale * scale.transpose();
  const SmallMatrix scaled = matrix.array() / scales.array();
  if (symmetric_eigen(scaled).values[0] < 1e-10) return std::nullopt;
  const int unknowns = Steps::kUnknowns;
  Hold out{solve_symmetric(scaled, SmallMatrix::Identity(unknowns, unknowns)), 0.0};
  out.inverse.array() /= scales.array();
  const double freedom = weight_sum - static_cast<double>(unknowns);
  out.variance = freedom > 0.0 ? settled.at_answer.cost / freedom : 0.0;
  return out;
}

/// The larger eigenvalue of a symmetric matrix.
inline double larger_eigenvalue(const Eigen::Matrix2d& matrix) {
  const double half_difference = 0.5 * (matrix(0, 0) - matrix(1, 1));
  return 0.5 * matrix.trace() + std::hypot(half_difference, matrix(0, 1));
}

}  // namespace trammel::wall_fit
