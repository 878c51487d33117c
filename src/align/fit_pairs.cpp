#include "trammel/align/fit_pairs.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/linear_algebra.hpp"

namespace trammel {
namespace {

/// Σ JᵀJ of points that each hold all three of their coordinates.
Matrix6d information_of(const Eigen::Matrix3Xd& points_mm, const Eigen::Vector3d& center_mm) {
  Matrix6d sum = Matrix6d::Zero();
  for (Eigen::Index i = 0; i < points_mm.cols(); ++i) {
    const Eigen::Vector3d arm = points_mm.col(i) - center_mm;
    Eigen::Matrix<double, 3, 6> moves;
    moves << 0, arm.z(), -arm.y(), 1, 0, 0,  //
        -arm.z(), 0, arm.x(), 0, 1, 0,       //
        arm.y(), -arm.x(), 0, 0, 0, 1;
    sum += moves.transpose() * moves;
  }
  return sum;
}

}  // namespace

double student_factor(double degrees_of_freedom) {
  const double n = std::max(1.0, degrees_of_freedom), z = 2.0;
  const double z3 = z * z * z, z5 = z3 * z * z, z7 = z5 * z * z;
  return z + (z3 + z) / (4.0 * n) + (5.0 * z5 + 16.0 * z3 + 3.0 * z) / (96.0 * n * n) +
         (3.0 * z7 + 19.0 * z5 + 17.0 * z3 - 15.0 * z) / (384.0 * n * n * n);
}

double pairs_rms_mm(const Eigen::Matrix3Xd& design_mm, const Eigen::Matrix3Xd& scan_mm,
                    const Eigen::Isometry3d& T_design_scan) {
  const Eigen::Matrix3Xd moved = T_design_scan * scan_mm;
  return std::sqrt((moved - design_mm).colwise().squaredNorm().mean());
}

PairsFit fit_pairs(const Eigen::Matrix3Xd& design_mm, const Eigen::Matrix3Xd& scan_mm) {
  PairsFit fit;
  const Eigen::Matrix4d motion = Eigen::umeyama(scan_mm, design_mm, false);
  fit.T_design_scan.linear() = Eigen::Quaterniond(Eigen::Matrix3d(motion.topLeftCorner<3, 3>()))
                                   .normalized()
                                   .toRotationMatrix();
  fit.center_mm = design_mm.rowwise().mean();
  fit.T_design_scan.translation() =
      fit.center_mm - fit.T_design_scan.linear() * scan_mm.rowwise().mean();
  const Eigen::Matrix3Xd moved = fit.T_design_scan * scan_mm;
  fit.residual_mm = (moved - design_mm).colwise().norm();
  const double freedom = 3.0 * static_cast<double>(design_mm.cols()) - 6.0;
  fit.error_mm = std::sqrt(fit.residual_mm.squaredNorm() / std::max(1.0, freedom));
  fit.coverage_factor = student_factor(freedom);
  // In units of the spread, so that turns and shifts are alike in size.
  const double arm_mm = std::max(
      1e-9, std::sqrt((design_mm.colwise() - fit.center_mm).colwise().squaredNorm().mean()));
  Matrix6d held =
      information_of((design_mm.colwise() - fit.center_mm) / arm_mm, Eigen::Vector3d::Zero());
  held.diagonal().array() += 1e-12;
  fit.unit_covariance = solve_symmetric(held, Matrix6d::Identity());
  fit.unit_covariance.topRows<3>() /= arm_mm;
  fit.unit_covariance.leftCols<3>() /= arm_mm;
  return fit;
}

}  // namespace trammel
