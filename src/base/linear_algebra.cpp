#include "trammel/base/linear_algebra.hpp"

#include <Eigen/Cholesky>
#include <Eigen/Eigenvalues>
#include <Eigen/Geometry>
#include <Eigen/QR>
#include <cmath>

namespace trammel {

double angle_between(const Eigen::Vector3d& a, const Eigen::Vector3d& b) {
  return std::atan2(a.cross(b).norm(), a.dot(b));
}

SymmetricEigen symmetric_eigen(const SmallMatrix& matrix) {
  const Eigen::SelfAdjointEigenSolver<SmallMatrix> solver(matrix);
  return {solver.eigenvalues(), solver.eigenvectors()};
}

SymmetricEigen3 symmetric_eigen_3(const Eigen::Matrix3d& matrix) {
  const Eigen::SelfAdjointEigenSolver<Eigen::Matrix3d> solver(matrix);
  return {solver.eigenvalues(), solver.eigenvectors()};
}

SmallMatrix solve_symmetric(const SmallMatrix& matrix, const SmallMatrix& right) {
  return matrix.ldlt().solve(right);
}

std::optional<SmallVector> least_squares(const Eigen::MatrixXd& rows,
                                         const Eigen::VectorXd& right) {
  const Eigen::ColPivHouseholderQR<Eigen::MatrixXd> solver(rows);
  if (solver.rank() < rows.cols()) return std::nullopt;
  return SmallVector(solver.solve(right));
}

}  // namespace trammel
