#pragma once

#include <Eigen/Core>
#include <optional>

namespace trammel {

/// 0 … π rad, of two directions of any length; exact for small angles, as arc cosines are not.
[[nodiscard]] double angle_between(const Eigen::Vector3d& a, const Eigen::Vector3d& b);

// The decompositions of Eigen that several stages need, compiled once: every file that
// instantiates them anew costs half a minute of building.

/// Nine rows and columns at most, which is more than any fit here has unknowns: needs no memory
/// of its own, and its products are plain loops.
using SmallMatrix = Eigen::Matrix<double, Eigen::Dynamic, Eigen::Dynamic, 0, 9, 9>;
using SmallVector = Eigen::Matrix<double, Eigen::Dynamic, 1, 0, 9, 1>;

/// Eigenvalues, least first, and their unit eigenvectors, one a column.
struct SymmetricEigen {
  SmallVector values;
  SmallMatrix vectors;
};

/// Of a symmetric matrix; only its lower half is read.
SymmetricEigen symmetric_eigen(const SmallMatrix& matrix);

struct SymmetricEigen3 {
  Eigen::Vector3d values;
  Eigen::Matrix3d vectors;
};

SymmetricEigen3 symmetric_eigen_3(const Eigen::Matrix3d& matrix);

/// x of matrix · x = right, for a symmetric positive definite matrix (LDLᵀ). A matrix that is not
/// definite gives numbers of no meaning, or none that are finite: damp it first.
SmallMatrix solve_symmetric(const SmallMatrix& matrix, const SmallMatrix& right);

/// x, of nine numbers at most, that makes |rows · x − right| least (Householder QR with pivoting);
/// nothing where the rows leave a part of x free.
std::optional<SmallVector> least_squares(const Eigen::MatrixXd& rows, const Eigen::VectorXd& right);

}  // namespace trammel
