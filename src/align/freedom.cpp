#include "trammel/align/freedom.hpp"

#include <algorithm>
#include <cmath>
#include <limits>
#include <map>
#include <tuple>

#include "motion_row.hpp"
#include "trammel/align/motions.hpp"
#include "trammel/align/round_design.hpp"
#include "trammel/base/linear_algebra.hpp"
#include "trammel/base/numbers.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Vector6d = Eigen::Matrix<double, 6, 1>;

constexpr double kWeakRatio = 0.01;  // held weakly: free when the noise moves it visibly
constexpr double kFreeRatio =
    0.001;  // held by next to nothing: facets and rims, whatever the noise
constexpr double kVisibleShare = 0.0005;  // of the diagonal, for two standard errors
constexpr double kPatchShare = 1.0 / 12.0;
constexpr double kUnknownScale = 0.02;  // a standard error that says nothing: a plane has no size

// Products of these small matrices are plain loops (lazyProduct): unrolled or blocked ones cost
// half a minute of building and gain nothing.

/// What motions are told about: rotations in units of the arm, so that all are lengths.
struct Motions {
  Eigen::Vector3d center;
  double arm_mm;
  Vector6d left_out;  ///< a unit motion that is not asked for: the turn of a round design; or zero
};

/// One point's row, without the motion that is not asked for.
SmallVector row_of(const Correspondence& c, const Motions& about, Index unknowns) {
  SmallVector row = motion_row(c, about.center, about.arm_mm, unknowns);
  row.head<6>() -= about.left_out.dot(row.head<6>()) * about.left_out;
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

struct Sums {
  explicit Sums(Index n)
      : rows(SmallMatrix::Zero(n, n)),
        weighted(rows),
        squared(rows),
        curvature(rows),
        pull(SmallVector::Zero(n)) {}
  SmallMatrix rows;       ///< Σ JJᵀ
  SmallMatrix weighted;   ///< Σ b JJᵀ, b the balance of directions
  SmallMatrix squared;    ///< Σ b² JJᵀ
  SmallMatrix curvature;  ///< Σ b ψ′ JJᵀ
  SmallVector pull;       ///< Σ b ψ J
  std::map<Patch, SmallVector> pull_by_patch;
  double slope = 0.0, squares = 0.0, count = 0.0;
};

/// Adds one row's JJᵀ to all four.
void add_squares(Sums& sums, const SmallVector& row, double balance, double slope) {
  for (Index j = 0; j < row.size(); ++j) {
    for (Index i = 0; i < row.size(); ++i) {
      const double square = row[i] * row[j];
      sums.rows(i, j) += square;
      sums.weighted(i, j) += balance * square;
      sums.squared(i, j) += balance * balance * square;
      sums.curvature(i, j) += balance * slope * square;
    }
  }
}

Sums sums_of(const std::vector<Correspondence>& points, double sigma_mm, const Motions& about,
             double patch_mm, const SmallVector& motion) {
  Sums sums(motion.size());
  for (const Correspondence& c : points) {
    const SmallVector row = row_of(c, about, motion.size());
    Correspondence moved = c;
    moved.residual_mm -= row.dot(motion);
    const double weight = tukey_weight(moved, sigma_mm);
    if (weight <= 0.0) continue;
    const double influence = weight * moved.residual_mm;
    const double slope = influence_slope(moved.residual_mm, sigma_mm);
    add_squares(sums, row, c.balance, slope);
    sums.pull += c.balance * influence * row;
    auto [at, is_new] =
        sums.pull_by_patch.try_emplace(patch_of(c, patch_mm), SmallVector::Zero(row.size()));
    at->second += c.balance * influence * row;
    sums.slope += slope;
    sums.squares += influence * influence;
    sums.count += 1.0;
  }
  return sums;
}

/// A B Aᵀ.
SmallMatrix turned(const SmallMatrix& a, const SmallMatrix& b) {
  const SmallMatrix half = a.lazyProduct(b);
  return half.lazyProduct(a.transpose());
}

SmallMatrix inverse_of(const SmallMatrix& matrix) {
  return solve_symmetric(matrix, SmallMatrix::Identity(matrix.rows(), matrix.cols()));
}

/// A⁻¹ B A⁻¹ with a faint prior that no unknown exceeds the arm, so that it exists always.
SmallMatrix sandwich(const Sums& sums, double sigma_mm, double arm_mm) {
  const double prior = sigma_mm * sigma_mm / (arm_mm * arm_mm);
  const Index n = sums.pull.size();
  SmallMatrix bread = sums.curvature;
  SmallMatrix filling = prior * sigma_mm * sigma_mm * SmallMatrix::Identity(n, n);
  bread.diagonal().array() += prior;
  const auto patches = static_cast<double>(sums.pull_by_patch.size());
  const auto unknowns = static_cast<double>(n);
  const double correction = patches > unknowns ? patches / (patches - unknowns) : 1.0;
  for (const auto& [patch, pull] : sums.pull_by_patch)
    filling += correction * pull.lazyProduct(pull.transpose());
  return turned(inverse_of(bread), filling);
}

/// W⁻¹ (σ² Σ b² JJᵀ) W⁻¹ with W = Σ b JJᵀ: uneven weights cost some of the efficiency of least
/// squares. The same faint prior as above.
Matrix6d of_independent_errors(const Sums& sums, double variance, double arm_mm) {
  const double prior = variance / (arm_mm * arm_mm);
  SmallMatrix held = sums.weighted, errors = variance * sums.squared;
  held.diagonal().array() += prior;
  errors.diagonal().array() += prior * variance;
  return turned(inverse_of(held), errors);
}

/// The smallest covariance that is not below either of two in any direction: both become diagonal
/// in the frame in which the second is 1.
Matrix6d larger_of(const Matrix6d& first, const Matrix6d& second) {
  const SymmetricEigen own = symmetric_eigen(second);
  const Vector6d roots = own.values.cwiseMax(1e-300).cwiseSqrt();
  const SmallMatrix to_unit = roots.cwiseInverse().asDiagonal() * own.vectors.transpose();
  const SmallMatrix from_unit = own.vectors * roots.asDiagonal();
  const SymmetricEigen seen = symmetric_eigen(turned(to_unit, first));
  const Vector6d larger = seen.values.cwiseMax(1.0);
  const SmallMatrix axes = from_unit.lazyProduct(seen.vectors);
  return turned(axes, Matrix6d(larger.asDiagonal()));
}

/// Rotations from units of the arm to radians.
Matrix6d unscaled(Matrix6d covariance, double arm_mm) {
  covariance.topRows<3>() /= arm_mm;
  covariance.leftCols<3>() /= arm_mm;
  return covariance;
}

std::string axis_in_words(const Eigen::Vector3d& direction) {
  Index axis = 0;
  const Eigen::Vector3d d = direction.normalized();
  if (d.cwiseAbs().maxCoeff(&axis) > 0.9986) return std::string(1, "xyz"[axis]);  // within 3°
  const double sign = d[axis] < 0.0 ? -1.0 : 1.0;
  return "(" + fixed(sign * d.x(), 2) + ", " + fixed(sign * d.y(), 2) + ", " +
         fixed(sign * d.z(), 2) + ")";
}

/// Displacement of the worst corner by a motion's standard error.
double held_to_mm(const Vector6d& motion, const Matrix6d& covariance, double arm_mm,
                  const Eigen::Vector3d& center, const Box& box) {
  const double variance = std::max(0.0, motion.dot(covariance * motion));
  return error_at_corners_mm(unscaled(variance * motion * motion.transpose(), arm_mm), center, box);
}

/// From turns whose unit moves the points by a length of 1 (root of the mean square, whatever the
/// axis) to turns in units of the arm; shifts stay. About the long axis of a rail the points lie
/// near, and a turn about it is held by as much as it moves them.
Matrix6d to_arm_units(const std::vector<Correspondence>& points, double sigma_mm,
                      const Motions& about) {
  constexpr double kLeastLever = 0.02;  // of the arm: points in one line hold no turn about it
  Eigen::Matrix3d places = Eigen::Matrix3d::Zero();
  double count = 0.0;
  for (const Correspondence& c : points) {
    if (tukey_weight(c, sigma_mm) <= 0.0) continue;
    const Eigen::Vector3d p = c.p_design - about.center;
    places += p * p.transpose();
    count += 1.0;
  }
  places /= std::max(1.0, count);
  const SymmetricEigen3 levers =
      symmetric_eigen_3(places.trace() * Eigen::Matrix3d::Identity() - places);
  const Eigen::Vector3d lever_mm =
      levers.values.cwiseMax(0.0).cwiseSqrt().cwiseMax(kLeastLever * about.arm_mm);
  Matrix6d out = Matrix6d::Identity();
  out.topLeftCorner<3, 3>() = levers.vectors *
                              (about.arm_mm * lever_mm.cwiseInverse()).asDiagonal() *
                              levers.vectors.transpose();
  return out;
}

/// Unit motions that the seen surface does not hold, across each other; any mixture of them is free
/// as well.
/// @param to_arm  from units in which no motion is held worse for being about a near axis
/// @return 6 × #free
SmallMatrix free_motions(const Matrix6d& rows, const Matrix6d& to_arm, const Matrix6d& covariance,
                         const Motions& about, const Box& box) {
  const double visible_mm = std::max(0.1, kVisibleShare * box.diagonal_mm());
  const SymmetricEigen eigen = symmetric_eigen(turned(to_arm.transpose(), rows));
  const double largest = std::max(eigen.values[5], 1e-12);
  SmallMatrix free(6, 0);
  for (Index k = 0; k < 5; ++k) {
    const double ratio = eigen.values[k] / largest;
    Vector6d motion = (to_arm * Vector6d(eigen.vectors.col(k))).normalized();
    const bool moves =
        2.0 * held_to_mm(motion, covariance, about.arm_mm, about.center, box) > visible_mm;
    if (ratio >= kWeakRatio || (ratio >= kFreeRatio && !moves)) continue;
    motion -= free.lazyProduct(free.transpose()).lazyProduct(motion);
    free.conservativeResize(6, free.cols() + 1);
    free.rightCols(1) = motion.normalized();
  }
  return free;
}

/// Sorts free motions out into slides and turns: eigenvectors of equal eigenvalues come mixed.
std::vector<std::string> in_words(const SmallMatrix& free, const Matrix6d& covariance,
                                  double arm_mm, const Eigen::Vector3d& center, const Box& box) {
  if (free.cols() == 0) return {};
  // By how much they turn, most first.
  const SmallMatrix turns = free.topRows(3);
  const SymmetricEigen by_turn = symmetric_eigen(turns.transpose().lazyProduct(turns));
  const SmallMatrix most_first = by_turn.vectors.rowwise().reverse();
  const SmallMatrix sorted = free.lazyProduct(most_first);
  std::vector<std::string> words;
  for (Index k = 0; k < sorted.cols(); ++k) {
    const Vector6d motion = sorted.col(k);
    const Eigen::Vector3d turn = motion.head<3>(), slide = motion.tail<3>();
    const double held_mm = held_to_mm(motion, covariance, arm_mm, center, box);
    words.push_back((turn.norm() > 0.3 ? "turning about " + axis_in_words(turn)
                                       : "sliding along " + axis_in_words(slide)) +
                    ", held to ±" + fixed(held_mm, 2) + " mm (1 σ) at the corners");
  }
  return words;
}

/// Growth, the unknowns after the six of motion: shares, and their standard errors (infinite: not
/// estimated).
struct Growth {
  SmallVector share, error;
};

Growth growth_of(const std::vector<Correspondence>& points, double sigma_mm, const Motions& about,
                 double patch_mm, Index axes) {
  Growth growth{SmallVector::Zero(axes),
                SmallVector::Constant(axes, std::numeric_limits<double>::infinity())};
  SmallVector motion = SmallVector::Zero(6 + axes);
  Sums sums(motion.size());
  for (int round = 0; round < 8; ++round) {
    sums = sums_of(points, sigma_mm, about, patch_mm, motion);
    if (sums.count < 50.0) return growth;
    // Iteratively reweighted least squares: with Σ w JJᵀ the step can only go downhill.
    SmallMatrix weighted = sums.weighted * (sums.slope / sums.count);
    weighted.diagonal().array() += 1e-9 * weighted.trace();
    motion += solve_symmetric(weighted, sums.pull);
  }
  const SmallMatrix covariance = sandwich(sums, sigma_mm, about.arm_mm);
  growth.share = motion.tail(axes) / about.arm_mm;
  growth.error = covariance.diagonal().tail(axes).cwiseMax(0.0).cwiseSqrt() / about.arm_mm;
  return growth;
}

ScaleEstimate scale_of(const std::vector<Correspondence>& points, double sigma_mm,
                       const Motions& about, double patch_mm) {
  ScaleEstimate scale;
  const Growth all = growth_of(points, sigma_mm, about, patch_mm, 1);
  if (all.error[0] <= kUnknownScale) {
    scale.uniform = 1.0 + all.share[0];
    scale.standard_error = all.error[0];
  }
  const Growth each = growth_of(points, sigma_mm, about, patch_mm, 3);
  for (Index axis = 0; axis < 3; ++axis) {
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
                   const Box& design_box, const std::optional<RoundAxis>& round) {
  Freedom freedom;
  double count = 0.0;
  for (const Correspondence& c : points)
    if (tukey_weight(c, sigma_mm) > 0.0) {
      freedom.center_mm += c.p_design;
      count += 1.0;
    }
  if (count < 10.0) {
    freedom.standard_error_mm = freedom.held_error_mm = design_box.diagonal_mm();
    freedom.free_directions = {"too few points lie on the design to hold it at all"};
    return freedom;
  }
  freedom.center_mm /= count;
  double arm_mm = 0.0;
  for (const Correspondence& c : points)
    if (tukey_weight(c, sigma_mm) > 0.0) arm_mm += (c.p_design - freedom.center_mm).norm() / count;
  arm_mm = std::max(arm_mm, 1e-9);
  const double patch_mm = std::max(kPatchShare * design_box.diagonal_mm(), 1e-9);

  Motions about{freedom.center_mm, arm_mm, Vector6d::Zero()};
  if (round) about.left_out = turn_about_axis(*round, freedom.center_mm, arm_mm);
  const Matrix6d asked =
      Matrix6d::Identity() - Matrix6d(about.left_out.lazyProduct(about.left_out.transpose()));
  const Sums sums = sums_of(points, sigma_mm, about, patch_mm, SmallVector::Zero(6));
  const double slope = sums.slope / sums.count;
  const double variance = std::max(1e-18, sums.squares / sums.count) / (slope * slope);
  const Matrix6d independent = of_independent_errors(sums, variance, arm_mm);
  const Matrix6d shared = sandwich(sums, sigma_mm, arm_mm);

  const Matrix6d larger = turned(asked, larger_of(shared, independent));
  freedom.covariance = unscaled(larger, arm_mm);
  freedom.standard_error_mm =
      error_at_corners_mm(freedom.covariance, freedom.center_mm, design_box);
  const Matrix6d both = turned(asked, shared + independent);
  // What is not asked for counts as held.
  const Matrix6d rows = sums.rows + sums.rows.trace() * (Matrix6d::Identity() - asked);
  const SmallMatrix free =
      free_motions(rows, to_arm_units(points, sigma_mm, about), both, about, design_box);
  freedom.free_directions = in_words(free, both, arm_mm, freedom.center_mm, design_box);
  const Matrix6d held = Matrix6d::Identity() - Matrix6d(free.lazyProduct(free.transpose()));
  freedom.held_error_mm =
      error_at_corners_mm(unscaled(held * larger * held, arm_mm), freedom.center_mm, design_box);
  freedom.scale = scale_of(points, sigma_mm, about, patch_mm);
  // Of independent errors alone, so that what neighbours share cannot hide how little holds.
  SmallMatrix squared = sums.squared;
  squared.diagonal().array() += 1e-12 * squared.trace();
  Matrix6d information =
      sums.weighted.lazyProduct(solve_symmetric(squared, sums.weighted)) / variance;
  information.topRows<3>() *= arm_mm;
  information.leftCols<3>() *= arm_mm;
  freedom.information = information;
  return freedom;
}

}  // namespace trammel
