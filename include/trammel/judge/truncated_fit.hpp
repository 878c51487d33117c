#pragma once

/// Linear fit that a minority of readings cannot pull: truncated least squares.

#include <Eigen/Core>

namespace trammel {

struct TruncatedFit {
  Eigen::VectorXd unknowns;            ///< 0 for a column that those before it make up to 1 %
  Eigen::VectorXd residual;            ///< values − rows · unknowns
  double loss = 0.0;                   ///< Σ w · min(residual², reach²)
  int rank = 0;                        ///< columns that the rows tell apart
  Eigen::VectorXd variance_per_noise;  ///< diagonal of (RowsᵀWRows)⁻¹ over the readings in reach;
                                       ///< × σ² is the variance of an unknown
};

/// Least Σ w · min(r², reach²), by graduated non-convexity: least squares first, then reweighting
/// with (t² / (t² + r²))² [Geman & McClure 1985] while t falls to the reach. As that may end in
/// another valley, the same is tried from `start`, and the better of the two is kept.
/// @param rows     #B × #unknowns
/// @param weights  #B, ≥ 0
/// @param start    unknowns to start from; fewer than columns are filled up with 0
[[nodiscard]] TruncatedFit truncated_fit(const Eigen::MatrixXd& rows, const Eigen::VectorXd& values,
                                         const Eigen::VectorXd& weights, double reach,
                                         const Eigen::VectorXd& start);

}  // namespace trammel
