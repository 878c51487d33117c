#pragma once

/// The robust fit of a hole's or slot's wall to scanned points: what measure_hole and measure_slot
/// share.

#include <Eigen/Core>
#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>
#include <vector>

#include "trammel/base/stats.hpp"
#include "trammel/geometry/fit_cylinder.hpp"
#include "trammel/geometry/fit_slot.hpp"

namespace trammel::reweighted {

inline constexpr double kTukey = 4.685;             // 95 % efficient on normal noise
inline constexpr double kFirstReach = 0.15;         // of the radius
inline constexpr double kLeastReach = 1e-3;         // of the radius: exact points would leave none
inline constexpr double kSurelyTilted = 4.0;        // standard errors
inline constexpr double kMostTiltError_rad = 0.01;  // an axis known worse is held to the design's

/// Tukey's biweight: 1 in the middle, 0 from `reach` on.
inline double biweight(double residual, double reach) {
  const double share = residual / reach;
  return std::abs(share) >= 1.0 ? 0.0 : std::pow(1.0 - share * share, 2);
}

/// A fit and what holds it.
template <typename Fit>
struct Robust {
  Fit fit;
  Eigen::VectorXd weights;     ///< of each point
  Eigen::Index near_wall = 0;  ///< points that look into the gap from about the right distance
  [[nodiscard]] Eigen::Index on_wall() const { return (weights.array() > 0.0).count(); }
};

inline const Cylinder& shape_of(const CylinderFit& fit) {
  return fit.cylinder;
}
inline const SlotShape& shape_of(const SlotFit& fit) {
  return fit.slot;
}

inline std::optional<CylinderFit> refit(const Eigen::Matrix3Xd& points,
                                        const Eigen::VectorXd& weights, const Cylinder& start,
                                        AxisChoice choice) {
  return fit_cylinder(points, weights, start, choice);
}
inline std::optional<SlotFit> refit(const Eigen::Matrix3Xd& points, const Eigen::VectorXd& weights,
                                    const SlotShape& start, AxisChoice choice) {
  return fit_slot(points, weights, start, choice);
}

inline double moved_mm(const Cylinder& from, const Cylinder& to) {
  return (to.center_mm - from.center_mm).norm() + std::abs(to.radius_mm - from.radius_mm);
}
inline double moved_mm(const SlotShape& from, const SlotShape& to) {
  return (to.center_mm - from.center_mm).norm() + std::abs(to.radius_mm - from.radius_mm) +
         std::abs(to.half_straight_mm - from.half_straight_mm);
}

template <typename Shape>
using RobustOf =
    Robust<typename decltype(refit({}, {}, std::declval<Shape>(), AxisChoice::Held))::value_type>;

/// Reweighted until it rests. Points that do not look into the gap never count.
/// @param distances  from a shape to the distances of all points from it; NaN of a point that does
///                   not look into the gap from about the right distance
/// @return nothing when a fit fails or its axis turns away from the start's
template <typename Shape, typename Distances>
std::optional<RobustOf<Shape>> fit(const Eigen::Matrix3Xd& points, const Shape& start,
                                   AxisChoice choice, const Distances& distances) {
  Shape shape = start;
  std::optional<RobustOf<Shape>> out;
  double reach = kFirstReach * start.radius_mm;
  for (int round = 0; round < 30; ++round) {
    const Eigen::VectorXd off = distances(shape);
    Eigen::VectorXd weights = Eigen::VectorXd::Zero(points.cols());
    std::vector<double> counted;
    Eigen::Index near_wall = 0;
    for (Eigen::Index i = 0; i < points.cols(); ++i) {
      if (std::isnan(off[i])) continue;
      ++near_wall;
      weights[i] = biweight(off[i], reach);
      if (weights[i] > 0.0) counted.push_back(off[i]);
    }
    const auto next = refit(points, weights, shape, choice);
    if (!next || shape_of(*next).axis.dot(start.axis) < 0.8) return std::nullopt;
    const double moved = moved_mm(shape, shape_of(*next));
    shape = shape_of(*next);
    out = RobustOf<Shape>{*next, weights, near_wall};
    reach = std::max(kTukey * robust_sigma(counted), kLeastReach * shape.radius_mm);
    if (round > 3 && moved < 1e-9 * shape.radius_mm) break;
  }
  return out;
}

/// A free axis where the wall is deep enough to hold it and it leans beyond doubt, else the
/// start's.
/// @param rounding_rad  a lean that exact points may show
template <typename Shape, typename Distances>
std::optional<RobustOf<Shape>> fit_with_surest_axis(const Eigen::Matrix3Xd& points,
                                                    const Shape& start, double rounding_rad,
                                                    const Distances& distances) {
  auto held = fit(points, start, AxisChoice::Held, distances);
  if (!held) return held;
  auto free = fit(points, start, AxisChoice::Free, distances);
  if (!free || free->fit.tilt_error_rad > kMostTiltError_rad) return held;
  const double tilt = std::asin(std::min(1.0, shape_of(free->fit).axis.cross(start.axis).norm()));
  return tilt > rounding_rad + kSurelyTilted * free->fit.tilt_error_rad ? free : held;
}

}  // namespace trammel::reweighted
