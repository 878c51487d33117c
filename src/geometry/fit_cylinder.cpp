#include "trammel/geometry/fit_cylinder.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/linear_algebra.hpp"
#include "wall_fit.hpp"

namespace trammel {
namespace {

using Eigen::Matrix3Xd;
using Eigen::Vector2d;
using Eigen::Vector3d;
using Eigen::VectorXd;

/// Unknowns: centre along u and v, radius, then the tilts of the axis towards u and v as slopes.
template <int kCount>
class CylinderSteps {
 public:
  using Shape = Cylinder;
  static constexpr int kUnknowns = kCount, kHeld = 3, kLengths = 3;

  explicit CylinderSteps(const Cylinder& from) : from_(from), across_(across(from.axis)) {}

  [[nodiscard]] std::optional<wall_fit::Reading<kCount>> reading(const Vector3d& point) const {
    const Vector3d arm = point - from_.center_mm;
    const Vector2d flat(arm.dot(across_.u), arm.dot(across_.v));
    const double length = flat.norm();
    if (length == 0.0) return std::nullopt;
    const Vector2d outward = flat / length;
    wall_fit::Reading<kCount> out;
    out.off_mm = length - from_.radius_mm;
    out.change.template head<kHeld>() << -outward.x(), -outward.y(), -1.0;
    if constexpr (kCount > kHeld) out.change.template tail<2>() = -from_.axis.dot(arm) * outward;
    return out;
  }

  [[nodiscard]] Cylinder stepped(const SmallVector& step) const {
    const auto& [u, v] = across_;
    Cylinder to = from_;
    to.center_mm += step[0] * u + step[1] * v;
    to.radius_mm += step[2];
    if constexpr (kCount > kHeld) to.axis = (from_.axis + step[3] * u + step[4] * v).normalized();
    return to;
  }

 private:
  Cylinder from_;
  Across across_;
};

double largest_root(const Eigen::Matrix2d& covariance) {
  return std::sqrt(std::max(0.0, wall_fit::larger_eigenvalue(covariance)));
}

Vector3d weighted_mean(const Matrix3Xd& points, const VectorXd& weights) {
  Vector3d mean = Vector3d::Zero();
  for (Eigen::Index i = 0; i < points.cols(); ++i)
    mean += weights[i] * points.col(i);
  return mean / weights.sum();
}

template <int kCount>
std::optional<CylinderFit> fit_unknowns(const Matrix3Xd& points, const VectorXd& weights,
                                        const Cylinder& start) {
  using Steps = CylinderSteps<kCount>;
  const auto settled =
      wall_fit::settle<Steps>(points, weights, start, weighted_mean(points, weights));
  if (!settled) return std::nullopt;
  const std::optional<wall_fit::Hold> hold = wall_fit::hold_of(*settled, weights.sum(), 0.0);
  if (!hold) return std::nullopt;
  const auto& [inverse, variance] = *hold;
  CylinderFit fit;
  fit.cylinder = settled->shape;
  fit.iterations = settled->iterations;
  fit.rms_mm = std::sqrt(variance);
  fit.center_error_mm = largest_root(variance * inverse.topLeftCorner<2, 2>());
  fit.radius_error_mm = std::sqrt(variance * inverse(2, 2));
  if (kCount > Steps::kHeld)
    fit.tilt_error_rad = largest_root(variance * inverse.bottomRightCorner<2, 2>());
  return fit;
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
  return choice == AxisChoice::Free ? fit_unknowns<5>(points_mm, weights, start)
                                    : fit_unknowns<3>(points_mm, weights, start);
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
