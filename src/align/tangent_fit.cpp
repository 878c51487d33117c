#include "trammel/align/tangent_fit.hpp"

#include <Eigen/LU>
#include <algorithm>
#include <cmath>
#include <limits>

#include "trammel/base/error.hpp"

namespace trammel {
namespace {

using Eigen::Index;

/// The next set of `set.size()` ascending indices below `count`; false after the last.
bool advance(std::vector<int>& set, int count) {
  const int size = static_cast<int>(set.size());
  for (int k = size - 1; k >= 0; --k) {
    int& at = set[static_cast<std::size_t>(k)];
    if (at >= count - size + k) continue;
    ++at;
    for (int after = k + 1; after < size; ++after)
      set[static_cast<std::size_t>(after)] = set[static_cast<std::size_t>(after - 1)] + 1;
    return true;
  }
  return false;
}

/// x that brings the rows of the set to 0; nothing where they do not hold all of it.
template <int N>
bool solve(const Eigen::MatrixXd& rows, const Eigen::VectorXd& readings,
           const std::vector<int>& set, double least_determinant, SmallVector& x) {
  Eigen::Matrix<double, N, N> A;
  Eigen::Matrix<double, N, 1> b;
  for (int k = 0; k < N; ++k) {
    A.row(k) = rows.row(set[static_cast<std::size_t>(k)]);
    b[k] = -readings[set[static_cast<std::size_t>(k)]];
  }
  if (std::abs(A.determinant()) < least_determinant) return false;
  x = A.inverse() * b;
  return true;
}

bool solve(const Eigen::MatrixXd& rows, const Eigen::VectorXd& readings,
           const std::vector<int>& set, double least_determinant, SmallVector& x) {
  switch (set.size()) {
    case 1: return solve<1>(rows, readings, set, least_determinant, x);
    case 2: return solve<2>(rows, readings, set, least_determinant, x);
    default: return solve<3>(rows, readings, set, least_determinant, x);
  }
}

bool stands_out(const Eigen::MatrixXd& rows, const Eigen::VectorXd& readings, const SmallVector& x,
                double slack_mm) {
  for (Index i = 0; i < rows.rows(); ++i)
    if (readings[i] + rows.row(i).dot(x) > slack_mm) return true;
  return false;
}

}  // namespace

std::optional<TangentFit> touch_from_outside(const Eigen::MatrixXd& rows,
                                             const Eigen::VectorXd& readings_mm) {
  const Index unknowns = rows.cols();
  TRAMMEL_CHECK(unknowns >= 1 && unknowns <= 3, "a datum holds one to three motions");
  const auto count = static_cast<int>(rows.rows());
  if (count < unknowns) return std::nullopt;
  std::vector<int> set;
  for (int k = 0; k < unknowns; ++k)
    set.push_back(k);
  const double size = std::max(1e-300, rows.cwiseAbs().maxCoeff());
  const double least_determinant = 1e-6 * std::pow(size, static_cast<double>(unknowns));
  const double slack_mm = 1e-9 * std::max(1e-3, readings_mm.cwiseAbs().maxCoeff());
  const Eigen::RowVectorXd sum = rows.colwise().sum();
  std::optional<TangentFit> best;
  double nearest = -std::numeric_limits<double>::infinity();
  do {
    SmallVector x;
    if (!solve(rows, readings_mm, set, least_determinant, x)) continue;
    const double nearness = sum.dot(x);
    if (nearness <= nearest || stands_out(rows, readings_mm, x, slack_mm)) continue;
    nearest = nearness;
    best = TangentFit{x, set};
  } while (advance(set, count));
  return best;
}

}  // namespace trammel
