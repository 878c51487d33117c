#pragma once

/// Least squares in three unknowns with Tukey's weights, and how sure its answer is.

#include <Eigen/Core>
#include <Eigen/LU>
#include <algorithm>
#include <array>
#include <cmath>
#include <map>
#include <vector>

namespace trammel::square {

/// residual ≈ row · x, at a place.
struct Row {
  Eigen::Vector3d row;
  double residual_mm;
  Eigen::Vector3d place_mm;
};

inline double tukey(double residual, double sigma) {
  const double u = residual / (4.685 * sigma);  // 95 % efficiency
  return std::abs(u) < 1.0 ? (1.0 - u * u) * (1.0 - u * u) : 0.0;
}

struct Solved {
  Eigen::Vector3d step = Eigen::Vector3d::Zero();  ///< that takes the residuals away
  Eigen::Matrix3d covariance = Eigen::Matrix3d::Zero();
  double rms_mm = 0.0;
  double weight = 0.0;
};

/// Covariance: the larger, in trace, of that of independent rows and of patches of `patch_mm` whose
/// rows share their errors (the sandwich of Liang & Zeger 1986).
inline Solved solve_rows(const std::vector<Row>& rows, double sigma_mm, double patch_mm) {
  Solved out;
  Eigen::Matrix3d normal = Eigen::Matrix3d::Zero();
  Eigen::Vector3d right = Eigen::Vector3d::Zero();
  std::map<std::array<long, 3>, Eigen::Vector3d> pulls;
  double squares = 0.0;
  for (const Row& r : rows) {
    const double w = tukey(r.residual_mm, sigma_mm);
    if (w <= 0.0) continue;
    normal += w * r.row * r.row.transpose();
    right -= w * r.residual_mm * r.row;
    squares += w * r.residual_mm * r.residual_mm;
    out.weight += w;
    const Eigen::Vector3d cell = (r.place_mm / patch_mm).array().floor();
    auto [at, is_new] =
        pulls.try_emplace({std::lround(cell.x()), std::lround(cell.y()), std::lround(cell.z())},
                          Eigen::Vector3d::Zero());
    at->second += w * r.residual_mm * r.row;
  }
  if (out.weight < 10.0) return out;
  normal.diagonal().array() += 1e-12 * normal.trace();
  const Eigen::Matrix3d inverse = normal.inverse();
  out.step = inverse * right;
  out.rms_mm = std::sqrt(squares / out.weight);
  Eigen::Matrix3d filling = Eigen::Matrix3d::Zero();
  for (const auto& [cell, pull] : pulls)
    filling += pull * pull.transpose();
  const auto patches = static_cast<double>(pulls.size());
  const Eigen::Matrix3d shared =
      (patches > 3.0 ? patches / (patches - 3.0) : 1.0) * inverse * filling * inverse;
  const Eigen::Matrix3d independent = out.rms_mm * out.rms_mm * inverse;
  out.covariance = shared.trace() > independent.trace() ? shared : independent;
  return out;
}

}  // namespace trammel::square
