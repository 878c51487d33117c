#pragma once

/// Geometric least-squares circle and cylinder: the sum of squared distances to the surface is
/// smallest (orthogonal distance regression, as in ISO 10360-6).

#include <Eigen/Core>
#include <optional>

namespace trammel {

struct Cylinder {
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();  ///< a point of the axis
  Eigen::Vector3d axis = Eigen::Vector3d::UnitZ();      ///< unit
  double radius_mm = 0.0;
};

/// Distance of a point from the surface: + outside the circle, − inside.
[[nodiscard]] double distance_to(const Cylinder& cylinder, const Eigen::Vector3d& point_mm);

/// Two unit vectors that make a right-handed frame with a unit axis.
struct Across {
  Eigen::Vector3d u, v;
};
[[nodiscard]] Across across(const Eigen::Vector3d& axis);

enum class AxisChoice { Held, Free };

struct CylinderFit {
  Cylinder cylinder;             ///< `center_mm` at the weighted mean depth of the points
  double rms_mm = 0.0;           ///< √(Σ w d² / (Σ w − number of unknowns))
  double center_error_mm = 0.0;  ///< 1 σ of a coordinate of the centre in the worst direction
  double radius_error_mm = 0.0;  ///< 1 σ
  double tilt_error_rad = 0.0;   ///< 1 σ of the axis in its worst direction; 0 when it was held
  int iterations = 0;
};

/// Levenberg–Marquardt on the true distances. With `Held` the axis direction stays as given, which
/// makes it the circle through the points seen along it (3 unknowns), otherwise 5 unknowns.
/// Standard errors follow from σ²(JᵀWJ)⁻¹ and suppose independent noise.
/// @param points_mm  3 × #P
/// @param weights    #P, ≥ 0
/// @param start      axis within about 30° of the answer; centre and radius near it
/// @return nothing when there are too few points, they do not fix the cylinder (all in one line or
///         on a flat), or the steps do not settle
[[nodiscard]] std::optional<CylinderFit> fit_cylinder(const Eigen::Matrix3Xd& points_mm,
                                                      const Eigen::VectorXd& weights,
                                                      const Cylinder& start, AxisChoice choice);

/// Start for the above: the algebraic circle of Kåsa (1976) through the points seen along `axis`.
/// Exact for exact points, too small for noisy arcs.
[[nodiscard]] std::optional<Cylinder> algebraic_circle(const Eigen::Matrix3Xd& points_mm,
                                                       const Eigen::Vector3d& axis);

}  // namespace trammel
