#include "trammel/judge/truncated_fit.hpp"

#include <gtest/gtest.h>

#include <cmath>

#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::MatrixXd;
using Eigen::VectorXd;

/// Line 0.2 + 0.5 x with noise of 0.01, x from −1 to 1.
struct Line {
  MatrixXd rows{200, 2};
  VectorXd values{200};
  VectorXd weights = VectorXd::Ones(200);
  Line() {
    Rng rng(5);
    for (Index i = 0; i < 200; ++i) {
      const double x = -1.0 + 0.01 * static_cast<double>(i);
      rows.row(i) << 1.0, x;
      values[i] = 0.2 + 0.5 * x + 0.01 * rng.normal();
    }
  }
};

TEST(TruncatedFit, IsLeastSquaresWhereAllReadingsAgree) {
  const Line line;
  const TruncatedFit fit = truncated_fit(line.rows, line.values, line.weights, 10.0, {});
  const VectorXd normal_equations =
      (line.rows.transpose() * line.rows).inverse() * line.rows.transpose() * line.values;
  // Weights of (1 + (r/10)²)⁻² differ from 1 by 2e-6 at r = 0.01.
  EXPECT_LT((fit.unknowns - normal_equations).norm(), 1e-6);
  EXPECT_EQ(fit.rank, 2);
  EXPECT_NEAR(fit.variance_per_noise[0], 1.0 / 200, 1e-5);
}

TEST(TruncatedFit, AThirdOfOutliersDoesNotPullIt) {
  Line line;
  line.values.head(66).array() += 1.0;
  const TruncatedFit fit = truncated_fit(line.rows, line.values, line.weights, 0.05, {});
  // 134 readings of noise 0.01: 1 σ of the offset 0.001, of the slope under 0.003; 5 σ.
  EXPECT_NEAR(fit.unknowns[0], 0.2, 0.01);
  EXPECT_NEAR(fit.unknowns[1], 0.5, 0.015);
  EXPECT_NEAR(fit.loss, 66 * 0.05 * 0.05 + 134 * 0.01 * 0.01, 0.02);
}

TEST(TruncatedFit, LeavesOutAColumnThatOthersMakeUp) {
  const Line line;
  MatrixXd rows(200, 3);
  rows << line.rows, line.rows.col(0) + 2.0 * line.rows.col(1);
  const TruncatedFit fit = truncated_fit(rows, line.values, line.weights, 1.0, {});
  EXPECT_EQ(fit.rank, 2);
  EXPECT_EQ(fit.unknowns[2], 0.0);
  EXPECT_NEAR(fit.unknowns[1], 0.5, 0.01);
}

TEST(TruncatedFit, TwoReadingsDoNotTellAColumnFromOthers) {
  Line line;
  MatrixXd rows(200, 3);
  rows << line.rows, line.rows.col(0) + 2.0 * line.rows.col(1);
  // 2 · 0.1² of the column's own square of 200 (1 + 4/3): 4e-5. They would make it 10 or so.
  rows.col(2).tail(2).array() += 0.1;
  line.values.tail(2).array() += 1.0;
  const TruncatedFit fit = truncated_fit(rows, line.values, line.weights, 5.0, {});
  EXPECT_EQ(fit.rank, 2);
  EXPECT_EQ(fit.unknowns[2], 0.0);
  EXPECT_NEAR(fit.unknowns[1], 0.5, 0.1);
}

TEST(TruncatedFit, KeepsToTheStartWhereThatIsBetter) {
  // Sixty of a hundred say 0, forty say 3: least squares starts at 1.2.
  const MatrixXd rows = MatrixXd::Ones(100, 1);
  VectorXd values = VectorXd::Zero(100);
  values.tail(40).setConstant(3.0);
  const TruncatedFit fit = truncated_fit(rows, values, VectorXd::Ones(100), 0.1, VectorXd::Zero(1));
  EXPECT_NEAR(fit.unknowns[0], 0.0, 1e-4);
}

}  // namespace
}  // namespace trammel
