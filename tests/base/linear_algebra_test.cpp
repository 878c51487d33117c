#include "trammel/base/linear_algebra.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace trammel {
namespace {

// The eigenvalues of the n × n matrix with 2 on the diagonal and −1 beside it are
// 2 − 2 cos(kπ / (n + 1)), k = 1 … n (the discrete Laplacian; any numerical analysis textbook).
SmallMatrix laplacian(Eigen::Index n) {
  SmallMatrix m = Eigen::MatrixXd::Zero(n, n);
  for (Eigen::Index i = 0; i < n; ++i) {
    m(i, i) = 2.0;
    if (i + 1 < n) m(i, i + 1) = m(i + 1, i) = -1.0;
  }
  return m;
}

double laplacian_value(int k, int n) {
  return 2.0 - 2.0 * std::cos(k * 3.14159265358979323846 / (n + 1));
}

TEST(LinearAlgebra, EigenvaluesOfTheDiscreteLaplacianComeLeastFirst) {
  const SymmetricEigen six = symmetric_eigen(laplacian(6));
  for (int k = 1; k <= 6; ++k)
    EXPECT_NEAR(six.values[k - 1], laplacian_value(k, 6), 1e-14);
  const SymmetricEigen3 three = symmetric_eigen_3(laplacian(3));
  for (int k = 1; k <= 3; ++k)
    EXPECT_NEAR(three.values[k - 1], laplacian_value(k, 3), 1e-14);
}

TEST(LinearAlgebra, EigenvectorsMakeTheMatrixAgain) {
  const SmallMatrix m = laplacian(5);
  const SymmetricEigen eigen = symmetric_eigen(m);
  const SmallMatrix again = eigen.vectors * eigen.values.asDiagonal() * eigen.vectors.transpose();
  EXPECT_LT((again - m).cwiseAbs().maxCoeff(), 1e-14);
}

TEST(LinearAlgebra, SolvesAPositiveDefiniteMatrix) {
  const SmallMatrix m = laplacian(7);
  const SmallVector x = Eigen::VectorXd::LinSpaced(7, -1.0, 2.0);
  EXPECT_LT((solve_symmetric(m, m * x) - x).cwiseAbs().maxCoeff(), 1e-13);
}

TEST(LinearAlgebra, LeastSquaresFindsTheLineThroughThreePoints) {
  Eigen::MatrixXd rows(3, 2);
  rows << 1, 0, 1, 1, 1, 2;
  // Points (0, 6), (1, 0), (2, 0): intercept 5 and slope −3, by the normal equations by hand.
  const auto line = least_squares(rows, Eigen::Vector3d(6, 0, 0));
  ASSERT_TRUE(line.has_value());
  EXPECT_NEAR((*line)[0], 5.0, 1e-14);
  EXPECT_NEAR((*line)[1], -3.0, 1e-14);
}

TEST(LinearAlgebra, LeastSquaresSaysWhenTheRowsLeaveSomethingFree) {
  Eigen::MatrixXd rows(3, 2);
  rows << 1, 2, 2, 4, 3, 6;
  EXPECT_FALSE(least_squares(rows, Eigen::Vector3d(1, 2, 3)).has_value());
}

TEST(LinearAlgebra, AngleBetweenIsExactWhereItIsSmallAndWhereItIsFlat) {
  EXPECT_DOUBLE_EQ(angle_between({2, 0, 0}, {0, 3, 0}), std::acos(0.0));
  EXPECT_NEAR(angle_between({1, 0, 0}, {1, 1e-9, 0}), 1e-9, 1e-18);
  EXPECT_DOUBLE_EQ(angle_between({1, 0, 0}, {-5, 0, 0}), std::acos(-1.0));
}

}  // namespace
}  // namespace trammel
