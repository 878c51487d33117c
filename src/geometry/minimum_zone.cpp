#include "trammel/geometry/minimum_zone.hpp"

#include <Eigen/LU>
#include <array>
#include <cmath>

#include "trammel/base/random.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::Vector3d;
using Four = std::array<Index, 4>;

constexpr double kMoved = 1e-6;    // of the spread
constexpr double kSettled = 1e-9;  // of the width
constexpr int kMostPlaneSteps = 10000;

/// Rows (1, x, y) of all points, places moved a little.
Eigen::Matrix3Xd rows_of(const Eigen::Matrix2Xd& place) {
  Rng rng(11);
  const double spread = (place.rowwise().maxCoeff() - place.rowwise().minCoeff()).norm();
  Eigen::Matrix3Xd rows(3, place.cols());
  for (Index i = 0; i < place.cols(); ++i) {
    const double dx = rng.uniform(-1.0, 1.0), dy = rng.uniform(-1.0, 1.0);
    rows.col(i) << 1.0, place(0, i) + kMoved * spread * dx, place(1, i) + kMoved * spread * dy;
  }
  return rows;
}

struct Levelled {
  Four points{};
  double error = -1.0;                ///< half the width
  Vector3d plane = Vector3d::Zero();  ///< offset and slopes
};

/// The best plane of four points: all lie off it by the same amount.
Levelled levelled(const Four& points, const Eigen::Matrix3Xd& rows, const Eigen::VectorXd& height) {
  Levelled out;
  out.points = points;
  Eigen::Vector4d lambda;
  double sum = 0.0, all = 0.0;
  for (std::size_t k = 0; k < 4; ++k) {
    Matrix3d others;
    for (std::size_t j = 0, c = 0; j < 4; ++j)
      if (j != k) others.col(static_cast<Index>(c++)) = rows.col(points[j]);
    const auto i = static_cast<Index>(k);
    lambda[i] = (k % 2 == 0 ? 1.0 : -1.0) * others.determinant();
    sum += lambda[i] * height[points[k]];
    all += std::abs(lambda[i]);
  }
  if (!(all > 0.0)) return out;
  out.error = std::abs(sum) / all;
  // The plane goes through three of them moved by the error, each to its side; the three that
  // span the largest triangle.
  Index left_out = 0;
  lambda.cwiseAbs().maxCoeff(&left_out);
  Matrix3d equations;
  Vector3d right;
  for (std::size_t j = 0, c = 0; j < 4; ++j) {
    const auto i = static_cast<Index>(j);
    if (i == left_out) continue;
    const double side = std::copysign(out.error, lambda[i] * sum);
    equations.row(static_cast<Index>(c)) = rows.col(points[j]).transpose();
    right[static_cast<Index>(c++)] = height[points[j]] - side;
  }
  out.plane = equations.fullPivLu().solve(right);
  return out;
}

/// Of four points and a fifth, the four with the greatest error of their own.
Levelled with(const Levelled& four, Index fifth, const Eigen::Matrix3Xd& rows,
              const Eigen::VectorXd& height) {
  Levelled best;
  for (std::size_t k = 0; k < 4; ++k) {
    Four points = four.points;
    points[k] = fifth;
    const Levelled tried = levelled(points, rows, height);
    if (tried.error > best.error) best = tried;
  }
  return best;
}

}  // namespace

MinimumZone minimum_zone(const Eigen::Matrix2Xd& place_mm, const Eigen::VectorXd& height_mm) {
  MinimumZone out;
  if (place_mm.cols() < 4) return out;
  const Eigen::Matrix3Xd rows = rows_of(place_mm);
  Levelled zone = levelled({0, 1, 2, 3}, rows, height_mm);
  double farthest = 0.0;
  for (int step = 0; step < kMostPlaneSteps; ++step) {
    Index fifth = 0;
    farthest = (height_mm - rows.transpose() * zone.plane).cwiseAbs().maxCoeff(&fifth);
    if (farthest <= zone.error * (1.0 + kSettled)) break;
    const Levelled next = with(zone, fifth, rows, height_mm);
    if (!(next.error > zone.error)) break;
    zone = next;
  }
  // What was not settled to the last is told as wide as it is.
  out.width_mm = 2.0 * std::max(zone.error, farthest);
  out.offset_mm = zone.plane[0];
  out.slope = zone.plane.tail<2>();
  for (std::size_t k = 0; k < 4; ++k)
    out.touching[static_cast<Index>(k)] = static_cast<int>(zone.points[k]);
  return out;
}

}  // namespace trammel
