#pragma once

/// Geometric least-squares slot: the wall that lies everywhere at one distance from a straight
/// piece of line, two half cylinders joined by two parallel flats.

#include <Eigen/Core>
#include <optional>

#include "trammel/geometry/fit_cylinder.hpp"

namespace trammel {

struct SlotShape {
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();  ///< half way between the ends
  Eigen::Vector3d axis = Eigen::Vector3d::UnitZ();      ///< unit, through the part
  Eigen::Vector3d along = Eigen::Vector3d::UnitX();     ///< unit, square to the axis
  double half_straight_mm = 0.0;  ///< half the distance between the centres of the ends
  double radius_mm = 0.0;         ///< of the ends; half the width

  [[nodiscard]] Eigen::Vector3d across() const { return axis.cross(along); }
  [[nodiscard]] double width_mm() const { return 2.0 * radius_mm; }
  [[nodiscard]] double length_mm() const { return 2.0 * (half_straight_mm + radius_mm); }
  /// A point seen along the axis, from the centre: (along, across).
  [[nodiscard]] Eigen::Vector2d flat(const Eigen::Vector3d& point_mm) const;
};

/// From the nearest place of the line between the centres of the ends, seen along the axis.
/// @param flat_mm  as `SlotShape::flat` gives it
[[nodiscard]] Eigen::Vector2d arm_from_middle_line(double half_straight_mm,
                                                   const Eigen::Vector2d& flat_mm);

/// Distance of a point from the wall: + outside the slot, in its material, − in the gap.
[[nodiscard]] double distance_to(const SlotShape& slot, const Eigen::Vector3d& point_mm);

/// Order of the unknowns in `SlotFit::covariance`; the last two only where the axis was free.
enum SlotUnknown { kSlotAlong, kSlotAcross, kSlotRadius, kSlotStraight, kSlotTurn };

struct SlotFit {
  SlotShape slot;       ///< `center_mm` at the weighted mean depth of the points
  double rms_mm = 0.0;  ///< √(Σ w d² / (Σ w − number of unknowns))
  /// Of centre along and across (mm), radius (mm), half the straight length (mm), turn (rad).
  Eigen::Matrix<double, 5, 5> covariance = Eigen::Matrix<double, 5, 5>::Zero();
  double tilt_error_rad = 0.0;  ///< 1 σ of the axis in its worst direction; 0 when it was held
  int iterations = 0;
};

/// Levenberg–Marquardt on the true distances; 5 unknowns with the axis `Held`, else 7. Standard
/// errors follow from σ²(JᵀWJ)⁻¹ and suppose independent noise.
/// @param points_mm  3 × #P
/// @param weights    #P, ≥ 0
/// @param start      turned by less than about 30°, size and place near the answer
/// @return nothing when there are too few points, they do not fix the slot (an end or a side has
///         none, or it is round) or the steps do not settle
[[nodiscard]] std::optional<SlotFit> fit_slot(const Eigen::Matrix3Xd& points_mm,
                                              const Eigen::VectorXd& weights,
                                              const SlotShape& start, AxisChoice choice);

/// 1 σ of what is read off a slot.
struct SlotErrors {
  double center_mm = 0.0;  ///< of a coordinate of the centre, in the worse direction
  double end_mm = 0.0;     ///< the same of the middle line at its ends
  double width_mm = 0.0, length_mm = 0.0;
};
[[nodiscard]] SlotErrors slot_errors(const Eigen::Matrix<double, 5, 5>& covariance,
                                     double half_straight_mm);

}  // namespace trammel
