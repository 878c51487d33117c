#include "trammel/judge/truncated_fit.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

/// Of a column's own square, what those before it leave of it. Less is not told apart: the lean of
/// a flat plate is its motion but for the narrow edges, and once came out as 20 mm each, crosswise.
constexpr double kDependent = 1e-4;
constexpr int kStepsAtReach = 8;

/// Cholesky factor of a Gram matrix in the order of its columns; dependent columns are left out.
struct Factor {
  MatrixXd lower;
  std::vector<Index> kept;
};

Factor factored(const MatrixXd& gram) {
  Factor out;
  out.lower.setZero(gram.rows(), gram.cols());
  for (Index j = 0; j < gram.cols(); ++j) {
    double pivot = gram(j, j);
    for (const Index k : out.kept)
      pivot -= out.lower(j, k) * out.lower(j, k);
    if (!(pivot > kDependent * gram(j, j))) continue;
    const double root = std::sqrt(pivot);
    for (Index i = j + 1; i < gram.rows(); ++i) {
      double sum = gram(i, j);
      for (const Index k : out.kept)
        sum -= out.lower(i, k) * out.lower(j, k);
      out.lower(i, j) = sum / root;
    }
    out.lower(j, j) = root;
    out.kept.push_back(j);
  }
  return out;
}

VectorXd solved(const Factor& factor, const VectorXd& right) {
  VectorXd x = VectorXd::Zero(right.size());
  for (const Index j : factor.kept) {
    double sum = right[j];
    for (const Index k : factor.kept)
      if (k < j) sum -= factor.lower(j, k) * x[k];
    x[j] = sum / factor.lower(j, j);
  }
  for (auto it = factor.kept.rbegin(); it != factor.kept.rend(); ++it) {
    double sum = x[*it];
    for (const Index k : factor.kept)
      if (k > *it) sum -= factor.lower(k, *it) * x[k];
    x[*it] = sum / factor.lower(*it, *it);
  }
  return x;
}

class Fitter {
 public:
  Fitter(const MatrixXd& rows, const VectorXd& values, const VectorXd& weights, double reach)
      : rows_(rows), values_(values), weights_(weights), reach_(reach) {}

  [[nodiscard]] VectorXd weighted_fit(const VectorXd& weights) const {
    const MatrixXd weighted = weights.asDiagonal() * rows_;
    return solved(factored(weighted.transpose() * rows_), weighted.transpose() * values_);
  }

  /// Reweighted from these residuals on, the scale falling from their largest to the reach.
  [[nodiscard]] VectorXd from(VectorXd residual, bool graduated) const {
    VectorXd unknowns;
    double scale = graduated ? std::max(reach_, residual.cwiseAbs().maxCoeff()) : reach_;
    for (int at_reach = 0; at_reach < kStepsAtReach;) {
      unknowns = weighted_fit(weights_at(residual, scale));
      residual = values_ - rows_ * unknowns;
      if (scale <= reach_) ++at_reach;
      scale = std::max(reach_, 0.5 * scale);
    }
    return unknowns;
  }

  [[nodiscard]] double loss(const VectorXd& residual) const {
    return (weights_.array() * residual.array().square().min(reach_ * reach_)).sum();
  }

  [[nodiscard]] TruncatedFit described(const VectorXd& unknowns) const {
    TruncatedFit out;
    out.unknowns = unknowns;
    out.residual = values_ - rows_ * unknowns;
    out.loss = loss(out.residual);
    const VectorXd within =
        (out.residual.array().abs() <= reach_).select(weights_, VectorXd::Zero(weights_.size()));
    const Factor factor = factored(rows_.transpose() * within.asDiagonal() * rows_);
    out.rank = static_cast<int>(factor.kept.size());
    out.variance_per_noise.setZero(unknowns.size());
    for (const Index j : factor.kept)
      out.variance_per_noise[j] = solved(factor, VectorXd::Unit(unknowns.size(), j))[j];
    return out;
  }

 private:
  [[nodiscard]] VectorXd weights_at(const VectorXd& residual, double scale) const {
    const double square = scale * scale;
    return weights_.array() * (square / (square + residual.array().square())).square();
  }

  const MatrixXd& rows_;
  const VectorXd& values_;
  const VectorXd& weights_;
  double reach_;
};

}  // namespace

TruncatedFit truncated_fit(const MatrixXd& rows, const VectorXd& values, const VectorXd& weights,
                           double reach, const VectorXd& start) {
  const Fitter fitter(rows, values, weights, reach);
  VectorXd begin = VectorXd::Zero(rows.cols());
  const Index given = std::min(start.size(), rows.cols());
  begin.head(given) = start.head(given);
  const VectorXd stay = values - rows * begin;
  const VectorXd near = fitter.from(stay, false);
  const VectorXd far = fitter.from(values - rows * fitter.weighted_fit(weights), true);
  const auto loss = [&](const VectorXd& x) { return fitter.loss(values - rows * x); };
  return fitter.described(loss(near) <= loss(far) ? near : far);
}

}  // namespace trammel
