#pragma once

/// The plane motion that leaves the worst of some points best off: the problem of bolting up.

#include <Eigen/Core>
#include <vector>

namespace trammel {

/// A point that is moved, and where it is wanted.
struct WantedPlace {
  Eigen::Vector2d from_mm, to_mm;
  double slack_mm = 0.0;  ///< it may be so far off at no cost
  double weight = 1.0;    ///< > 0
};

struct PlaneMotion {
  Eigen::Vector2d about_mm = Eigen::Vector2d::Zero();  ///< mean of the points
  Eigen::Vector2d shift_mm = Eigen::Vector2d::Zero();
  double turn_rad = 0.0;  ///< about that mean, before the shift; counter-clockwise

  [[nodiscard]] Eigen::Vector2d moved(const Eigen::Vector2d& point_mm) const;
};

/// The motion that makes the largest of weight · (distance − slack) least.
///
/// For small turns that is a convex function with creases. It is smoothed (the largest as
/// log Σ exp(β ·)/β, the distance as √(d² + 1/β²)) and brought down by damped Newton steps, β
/// growing tenfold till the smoothing is worth some 1e-6 mm; the result then follows the points
/// smoothly, so that rounding moves it by rounding.
/// @param places  not empty
/// @param most_turn_rad  no larger turn is looked at, to either side
[[nodiscard]] PlaneMotion least_worst_motion(const std::vector<WantedPlace>& places,
                                             double most_turn_rad);

}  // namespace trammel
