#include "trammel/geometry/fit_slot.hpp"

#include <Eigen/Geometry>
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

/// Unknowns: centre along and across, radius, half the straight length, turn, then the slopes of
/// the axis along and across.
template <int kCount>
class SlotSteps {
 public:
  using Shape = SlotShape;
  static constexpr int kUnknowns = kCount, kHeld = 5, kLengths = 4;

  explicit SlotSteps(const SlotShape& from) : from_(from) {}

  [[nodiscard]] std::optional<wall_fit::Reading<kCount>> reading(const Vector3d& point) const {
    const Vector2d flat = from_.flat(point);
    const Vector2d from_line = arm_from_middle_line(from_.half_straight_mm, flat);
    const double length = from_line.norm();
    if (length == 0.0) return std::nullopt;
    const Vector2d outward = from_line / length;
    const double side = flat.x() > from_.half_straight_mm    ? 1.0
                        : flat.x() < -from_.half_straight_mm ? -1.0
                                                             : 0.0;
    wall_fit::Reading<kCount> out;
    out.off_mm = length - from_.radius_mm;
    out.change.template head<kHeld>() << -outward.x(), -outward.y(), -1.0, -side * outward.x(),
        outward.x() * flat.y() - outward.y() * flat.x();
    if constexpr (kCount > kHeld)
      out.change.template tail<2>() = -from_.axis.dot(point - from_.center_mm) * outward;
    return out;
  }

  [[nodiscard]] SlotShape stepped(const SmallVector& step) const {
    SlotShape to = from_;
    to.center_mm += step[kSlotAlong] * from_.along + step[kSlotAcross] * from_.across();
    to.radius_mm += step[kSlotRadius];
    to.half_straight_mm = std::max(0.0, to.half_straight_mm + step[kSlotStraight]);
    if constexpr (kCount > kHeld)
      to.axis = (from_.axis + step[5] * from_.along + step[6] * from_.across()).normalized();
    const Vector3d along = from_.along + step[kSlotTurn] * from_.across();
    to.along = (along - to.axis.dot(along) * to.axis).normalized();
    return to;
  }

 private:
  SlotShape from_;
};

template <int kCount>
std::optional<SlotFit> fit_slot_unknowns(const Matrix3Xd& points, const VectorXd& weights,
                                         const SlotShape& start) {
  using Steps = SlotSteps<kCount>;
  const auto settled =
      wall_fit::settle<Steps>(points, weights, start, points * weights / weights.sum());
  if (!settled || !(settled->shape.half_straight_mm > 0.0)) return std::nullopt;
  const std::optional<wall_fit::Hold> hold = wall_fit::hold_of(*settled, weights.sum(), 1e-6);
  if (!hold) return std::nullopt;
  const auto& [inverse, variance] = *hold;
  SlotFit fit;
  fit.slot = settled->shape;
  fit.iterations = settled->iterations;
  fit.rms_mm = std::sqrt(variance);
  fit.covariance = variance * inverse.topLeftCorner<5, 5>();
  if (kCount > Steps::kHeld) {
    fit.tilt_error_rad =
        std::sqrt(variance * wall_fit::larger_eigenvalue(inverse.bottomRightCorner<2, 2>()));
  }
  return fit;
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
  return choice == AxisChoice::Free ? fit_slot_unknowns<7>(points_mm, weights, start)
                                    : fit_slot_unknowns<5>(points_mm, weights, start);
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
