#include "trammel/align/freedom.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <tuple>

#include "trammel/align/motions.hpp"
#include "trammel/base/linear_algebra.hpp"
#include "trammel/base/numbers.hpp"

namespace trammel {
namespace {

constexpr double kWeakRatio = 0.01;  // held weakly: free when the noise moves it visibly
constexpr double kFreeRatio =
    0.001;  // held by next to nothing: facets and rims, whatever the noise
constexpr double kVisibleShare = 0.0005;  // of the diagonal, for two standard errors
constexpr double kPatchShare = 1.0 / 12.0;
constexpr double kUnknownScale = 0.02;  // a standard error that says nothing: a plane has no size

template <int N>
using Vector = Eigen::Matrix<double, N, 1>;
template <int N>
using Matrix = Eigen::Matrix<double, N, N>;

/// One point's row: motion about the centre with rotations in units of the arm, so that all
/// unknowns are lengths; with N = 7, growth about the centre comes last, with N = 9 growth along
/// each axis (of the foot: the point itself holds the residual that is to be explained).
template <int N>
Vector<N> row_of(const Correspondence& c, const Eigen::Vector3d& center, double arm_mm) {
  const Eigen::Vector3d p = c.p_design - center;
  Vector<N> row;
  row.template head<3>() = p.cross(c.normal) / arm_mm;
  row.template segment<3>(3) = c.normal;
  if constexpr (N == 7) row[6] = (p.dot(c.normal) - c.residual_mm) / arm_mm;
  if constexpr (N == 9)
    row.template tail<3>() = (p - c.residual_mm * c.normal).cwiseProduct(c.normal) / arm_mm;
  return row;
}

/// Derivative of Tukey's influence r·w(r).
double influence_slope(double residual_mm, double sigma_mm) {
  const double u = residual_mm / (4.685 * sigma_mm);
  const double rest = 1.0 - u * u;
  return rest > 0.0 ? rest * (1.0 - 5.0 * u * u) : 0.0;
}

using Patch = std::tuple<int, int, int>;

/// By the foot, on a grid that is out of step with the origin: were a face to lie on the border of
/// two patches, its noise would be sorted by sign.
Patch patch_of(const Correspondence& c, double edge_mm) {
  const Eigen::Vector3d foot = c.p_design - c.residual_mm * c.normal;
  const Eigen::Vector3d cell = (foot.array() / edge_mm + 0.3819660113).floor();
  return {static_cast<int>(cell.x()), static_cast<int>(cell.y()), static_cast<int>(cell.z())};
}

template <int N>
struct Sums {
  Matrix<N> rows = Matrix<N>::Zero();       ///< Σ JJᵀ
  Matrix<N> weighted = Matrix<N>::Zero();   ///< Σ b JJᵀ, b the balance of directions
  Matrix<N> squared = Matrix<N>::Zero();    ///< Σ b² JJᵀ
  Matrix<N> curvature = Matrix<N>::Zero();  ///< Σ b ψ′ JJᵀ
  Vector<N> pull = Vector<N>::Zero();       ///< Σ b ψ J
  std::map<Patch, Vector<N>> pull_by_patch;
  double slope = 0.0, squares = 0.0, count = 0.0;
};

template <int N>
Sums<N> sums_of(const std::vector<Correspondence>& points, double sigma_mm,
                const Eigen::Vector3d& center, double arm_mm, double patch_mm,
                const Vector<N>& motion) {
  Sums<N> sums;
  for (const Correspondence& c : points) {
    const Vector<N> row = row_of<N>(c, center, arm_mm);
    Correspondence moved = c;
    moved.residual_mm -= row.dot(motion);
    const double weight = tukey_weight(moved, sigma_mm);
    if (weight <= 0.0) continue;
    const double influence = weight * moved.residual_mm;
    const double slope = influence_slope(moved.residual_mm, sigma_mm);
    sums.rows += row * row.transpose();
    sums.weighted += c.balance * row * row.transpose();
    sums.squared += c.balance * c.balance * row * row.transpose();
    sums.curvature += c.balance * slope * row * row.transpose();
    sums.pull += c.balance * influence * row;
    auto [at, is_new] = sums.pull_by_patch.try_emplace(patch_of(c, patch_mm), Vector<N>::Zero());
    at->second += c.balance * influence * row;
    sums.slope += slope;
    sums.squares += influence * influence;
    sums.count += 1.0;
  }
  return sums;
}

/// A⁻¹ B A⁻¹ with a faint prior that no unknown exceeds the arm, so that it exists always.
template <int N>
Matrix<N> sandwich(const Sums<N>& sums, double sigma_mm, double arm_mm) {
  const double prior = sigma_mm * sigma_mm / (arm_mm * arm_mm);
  Matrix<N> bread = sums.curvature;
  Matrix<N> filling = Matrix<N>::Identity() * prior * sigma_mm * sigma_mm;
  bread.diagonal().array() += prior;
  const auto patches = static_cast<double>(sums.pull_by_patch.size());
  const double correction = patches > N ? patches / (patches - N) : 1.0;
  for (const auto& [patch, pull] : sums.pull_by_patch)
    filling += correction * pull * pull.transpose();
  const Matrix<N> inverse = solve_symmetric(bread, Matrix<N>::Identity());
  return inverse * filling * inverse.transpose();
}

/// W⁻¹ (σ² Σ b² JJᵀ) W⁻¹ with W = Σ b JJᵀ: uneven weights cost some of the efficiency of least
/// squares. The same faint prior as above.
Matrix6d of_independent_errors(const Sums<6>& sums, double variance, double arm_mm) {
  const double prior = variance / (arm_mm * arm_mm);
  Matrix6d held = sums.weighted, errors = variance * sums.squared;
  held.diagonal().array() += prior;
  errors.diagonal().array() += prior * variance;
  const Matrix6d inverse = solve_symmetric(held, Matrix6d::Identity());
  return inverse * errors * inverse.transpose();
}

/// The smallest covariance that is not below either of two in any direction: both become diagonal
/// in the frame in which the second is 1.
Matrix6d larger_of(const Matrix6d& first, const Matrix6d& second) {
  const SymmetricEigen own = symmetric_eigen(second);
  const Vector<6> roots = own.values.cwiseMax(1e-300).cwiseSqrt();
  const Matrix6d to_unit = roots.cwiseInverse().asDiagonal() * own.vectors.transpose();
  const Matrix6d from_unit = own.vectors * roots.asDiagonal();
  const SymmetricEigen seen = symmetric_eigen(to_unit * first * to_unit.transpose());
  const Vector<6> larger = seen.values.cwiseMax(1.0);
  const Matrix6d axes = from_unit * seen.vectors;
  return axes * larger.asDiagonal() * axes.transpose();
}

/// Rotations from units of the arm to radians.
Matrix6d unscaled(Matrix6d covariance, double arm_mm) {
  covariance.topRows<3>() /= arm_mm;
  covariance.leftCols<3>() /= arm_mm;
  return covariance;
}

std::string axis_in_words(const Eigen::Vector3d& direction) {
  Eigen::Index axis = 0;
  const Eigen::Vector3d d = direction.normalized();
  if (d.cwiseAbs().maxCoeff(&axis) > 0.9986) return std::string(1, "xyz"[axis]);  // within 3°
  const double sign = d[axis] < 0.0 ? -1.0 : 1.0;
  return "(" + fixed(sign * d.x(), 2) + ", " + fixed(sign * d.y(), 2) + ", " +
         fixed(sign * d.z(), 2) + ")";
}

/// Displacement of the worst corner by a motion's standard error.
double held_to_mm(const Vector<6>& motion, const Matrix6d& covariance, double arm_mm,
                  const Eigen::Vector3d& center, const Box& box) {
  const double variance = std::max(0.0, motion.dot(covariance * motion));
  return error_at_corners_mm(unscaled(variance * motion * motion.transpose(), arm_mm), center, box);
}

/// Sorts free motions out into slides and turns: any mixture of free motions is free, and
/// eigenvectors of equal eigenvalues come mixed.
std::vector<std::string> free_motions(const Matrix6d& rows, const Matrix6d& covariance,
                                      double arm_mm, const Eigen::Vector3d& center,
                                      const Box& box) {
  const double visible_mm = std::max(0.1, kVisibleShare * box.diagonal_mm());
  const SymmetricEigen eigen = symmetric_eigen(rows);
  const double largest = std::max(eigen.values[5], 1e-12);
  SmallMatrix free(6, 0);
  for (Eigen::Index k = 0; k < 5; ++k) {
    const double ratio = eigen.values[k] / largest;
    const Vector<6> motion = eigen.vectors.col(k);
    const bool moves = 2.0 * held_to_mm(motion, covariance, arm_mm, center, box) > visible_mm;
    if (ratio >= kWeakRatio || (ratio >= kFreeRatio && !moves)) continue;
    free.conservativeResize(6, free.cols() + 1);
    free.rightCols(1) = motion;
  }
  if (free.cols() == 0) return {};
  // By how much they turn, most first.
  const SmallMatrix turns = free.topRows(3);
  const SmallMatrix sorted =
      free * symmetric_eigen(turns.transpose() * turns).vectors.rowwise().reverse();
  std::vector<std::string> words;
  for (Eigen::Index k = 0; k < sorted.cols(); ++k) {
    const Vector<6> motion = sorted.col(k);
    const Eigen::Vector3d turn = motion.head<3>(), slide = motion.tail<3>();
    const double held_mm = held_to_mm(motion, covariance, arm_mm, center, box);
    words.push_back((turn.norm() > 0.3 ? "turning about " + axis_in_words(turn)
                                       : "sliding along " + axis_in_words(slide)) +
                    ", held to ±" + fixed(held_mm, 2) + " mm (1 σ) at the corners");
  }
  return words;
}

/// Growth, the last N − 6 unknowns: shares, and their standard errors (infinite: not estimated).
template <int N>
struct Growth {
  Vector<N - 6> share = Vector<N - 6>::Zero();
  Vector<N - 6> error = Vector<N - 6>::Constant(std::numeric_limits<double>::infinity());
};

template <int N>
Growth<N> growth_of(const std::vector<Correspondence>& points, double sigma_mm,
                    const Eigen::Vector3d& center, double arm_mm, double patch_mm) {
  Growth<N> growth;
  Vector<N> motion = Vector<N>::Zero();
  Sums<N> sums;
  for (int round = 0; round < 8; ++round) {
    sums = sums_of<N>(points, sigma_mm, center, arm_mm, patch_mm, motion);
    if (sums.count < 50.0) return growth;
    // Iteratively reweighted least squares: with Σ w JJᵀ the step can only go downhill.
    Matrix<N> weighted = sums.weighted * (sums.slope / sums.count);
    weighted.diagonal().array() += 1e-9 * weighted.trace();
    motion += solve_symmetric(weighted, sums.pull);
  }
  const Matrix<N> covariance = sandwich(sums, sigma_mm, arm_mm);
  growth.share = motion.template tail<N - 6>() / arm_mm;
  growth.error = covariance.diagonal().template tail<N - 6>().cwiseMax(0.0).cwiseSqrt() / arm_mm;
  return growth;
}

ScaleEstimate scale_of(const std::vector<Correspondence>& points, double sigma_mm,
                       const Eigen::Vector3d& center, double arm_mm, double patch_mm) {
  ScaleEstimate scale;
  const auto all = growth_of<7>(points, sigma_mm, center, arm_mm, patch_mm);
  if (all.error[0] <= kUnknownScale) {
    scale.uniform = 1.0 + all.share[0];
    scale.standard_error = all.error[0];
  }
  const auto each = growth_of<9>(points, sigma_mm, center, arm_mm, patch_mm);
  for (Eigen::Index axis = 0; axis < 3; ++axis) {
    if (!(each.error[axis] <= kUnknownScale)) continue;
    scale.axes[axis] = 1.0 + each.share[axis];
    scale.axes_standard_error[axis] = each.error[axis];
  }
  return scale;
}

}  // namespace

double error_at_corners_mm(const Matrix6d& covariance, const Eigen::Vector3d& center,
                           const Box& box) {
  double worst = 0.0;
  for (int corner = 0; corner < 8; ++corner) {
    const Eigen::Vector3d p((corner & 1) != 0 ? box.high_mm.x() : box.low_mm.x(),
                            (corner & 2) != 0 ? box.high_mm.y() : box.low_mm.y(),
                            (corner & 4) != 0 ? box.high_mm.z() : box.low_mm.z());
    const Eigen::Vector3d arm = p - center;
    Eigen::Matrix<double, 3, 6> moves;
    moves << 0, arm.z(), -arm.y(), 1, 0, 0,  //
        -arm.z(), 0, arm.x(), 0, 1, 0,       //
        arm.y(), -arm.x(), 0, 0, 0, 1;
    const Eigen::Matrix3d spread = moves * covariance * moves.transpose();
    worst = std::max(worst, std::sqrt(std::max(0.0, symmetric_eigen_3(spread).values[2])));
  }
  return worst;
}

Freedom freedom_of(const std::vector<Correspondence>& points, double sigma_mm,
                   const Box& design_box) {
  Freedom freedom;
  double count = 0.0;
  for (const Correspondence& c : points)
    if (tukey_weight(c, sigma_mm) > 0.0) {
      freedom.center_mm += c.p_design;
      count += 1.0;
    }
  if (count < 10.0) {
    freedom.standard_error_mm = design_box.diagonal_mm();
    freedom.free_directions = {"too few points lie on the design to hold it at all"};
    return freedom;
  }
  freedom.center_mm /= count;
  double arm_mm = 0.0;
  for (const Correspondence& c : points)
    if (tukey_weight(c, sigma_mm) > 0.0) arm_mm += (c.p_design - freedom.center_mm).norm() / count;
  arm_mm = std::max(arm_mm, 1e-9);
  const double patch_mm = std::max(kPatchShare * design_box.diagonal_mm(), 1e-9);

  const Sums<6> sums =
      sums_of<6>(points, sigma_mm, freedom.center_mm, arm_mm, patch_mm, Vector<6>::Zero());
  const double slope = sums.slope / sums.count;
  const double variance = std::max(1e-18, sums.squares / sums.count) / (slope * slope);
  const Matrix6d independent = of_independent_errors(sums, variance, arm_mm);
  const Matrix6d shared = sandwich(sums, sigma_mm, arm_mm);

  freedom.covariance = unscaled(larger_of(shared, independent), arm_mm);
  freedom.standard_error_mm =
      error_at_corners_mm(freedom.covariance, freedom.center_mm, design_box);
  freedom.free_directions =
      free_motions(sums.rows, shared + independent, arm_mm, freedom.center_mm, design_box);
  freedom.scale = scale_of(points, sigma_mm, freedom.center_mm, arm_mm, patch_mm);
  // Of independent errors alone, so that what neighbours share cannot hide how little holds.
  Matrix6d squared = sums.squared;
  squared.diagonal().array() += 1e-12 * squared.trace();
  Matrix6d information =
      sums.weighted * solve_symmetric(squared, Matrix6d(sums.weighted)) / variance;
  information.topRows<3>() *= arm_mm;
  information.leftCols<3>() *= arm_mm;
  freedom.information = information;
  return freedom;
}

}  // namespace trammel
