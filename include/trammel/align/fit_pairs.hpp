#pragma once

/// The rigid motion between pairs of points, in closed form, and how wrong it could be.

#include <Eigen/Geometry>
#include <optional>

#include "trammel/model/alignment.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel {

struct PairsFit {
  Eigen::Isometry3d T_design_scan = Eigen::Isometry3d::Identity();
  Eigen::VectorXd residual_mm;  ///< #P distances between the design's points and the scan's, moved
  /// 1 σ of one coordinate of a pair: √(Σ residual² / (3 #P − 6)). Of exact pairs 0.
  double error_mm = 0.0;
  /// How many σ hold 95.45 % (two σ of a normal error) when σ is known from so few residuals:
  /// Student's t with 3 #P − 6 degrees of freedom; 3.3 for three pairs, 2 for many.
  double coverage_factor = 2.0;
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();  ///< centroid of the design's points
  /// (Σ JᵀJ)⁻¹ for pairs with a σ of 1 mm, of (rotation about the centre, translation), rad and mm.
  Matrix6d unit_covariance = Matrix6d::Zero();
};

/// Least squares over rotations and translations [Umeyama 1991, doi:10.1109/34.88573], never a
/// mirror image, no scale.
/// @param design_mm, scan_mm  3 × #P, three columns or more, not in one line
[[nodiscard]] PairsFit fit_pairs(const Eigen::Matrix3Xd& design_mm,
                                 const Eigen::Matrix3Xd& scan_mm);

/// Student's t for 95.45 % two-sided [expansion of Abramowitz & Stegun 1964, 26.7.5: within 1 %
/// from 3 degrees of freedom on].
[[nodiscard]] double student_factor(double degrees_of_freedom);

/// √(mean squared distance) of the pairs at a pose.
[[nodiscard]] double pairs_rms_mm(const Eigen::Matrix3Xd& design_mm,
                                  const Eigen::Matrix3Xd& scan_mm,
                                  const Eigen::Isometry3d& T_design_scan);

}  // namespace trammel
