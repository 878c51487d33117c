#include "trammel/geometry/own_frame.hpp"

#include <Eigen/Eigenvalues>
#include <algorithm>
#include <array>
#include <cmath>
#include <cstddef>

#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Isometry3d;
using Eigen::Matrix3d;
using Eigen::Matrix3Xd;
using Eigen::Vector3d;

constexpr double kFarthestRms = 10.0;  // times the root mean square
constexpr int kMostLeavings = 50;      // each leaves the farthest strays out

/// What counts: finite points within `reach` of `middle`.
struct Ball {
  Vector3d middle = Vector3d::Zero();
  double reach = HUGE_VAL;

  [[nodiscard]] bool holds(const Vector3d& p) const {
    return p.allFinite() && (p - middle).norm() <= reach;
  }
};

struct Sum {
  double count = 0.0;
  Vector3d offset = Vector3d::Zero();  ///< from the middle of the ball

  Sum& operator+=(const Sum& other) {
    count += other.count;
    offset += other.offset;
    return *this;
  }
};

/// Sums over the points of a ball of products of their coordinates about some origin.
struct Moments {
  double count = 0.0;
  Matrix3d second = Matrix3d::Zero();
  std::array<Matrix3d, 3> third{Matrix3d::Zero(), Matrix3d::Zero(), Matrix3d::Zero()};
  double farthest = 0.0;

  Moments& operator+=(const Moments& other) {
    count += other.count;
    second += other.second;
    for (std::size_t k = 0; k < 3; ++k)
      third[k] += other.third[k];
    farthest = std::max(farthest, other.farthest);
    return *this;
  }
  /// Σ (axis · d)³.
  [[nodiscard]] double third_along(const Vector3d& axis) const {
    double sum = 0.0;
    for (Index k = 0; k < 3; ++k)
      sum += axis[k] * axis.dot(third[static_cast<std::size_t>(k)] * axis);
    return sum;
  }
};

Sum sum_within(const Ball& ball, const Matrix3Xd& points) {
  return ordered_sum(static_cast<std::size_t>(points.cols()), Sum{}, [&](std::size_t i) {
    const Vector3d p = points.col(static_cast<Index>(i));
    return ball.holds(p) ? Sum{1.0, p - ball.middle} : Sum{};
  });
}

Moments moments_about(const Vector3d& origin, const Matrix3Xd& points, const Ball& ball) {
  return ordered_sum(static_cast<std::size_t>(points.cols()), Moments{}, [&](std::size_t i) {
    Moments out;
    const Vector3d p = points.col(static_cast<Index>(i));
    if (!ball.holds(p)) return out;
    const Vector3d d = p - origin;
    out.count = 1.0;
    out.second = d * d.transpose();
    for (Index k = 0; k < 3; ++k)
      out.third[static_cast<std::size_t>(k)] = d[k] * out.second;
    out.farthest = d.norm();
    return out;
  });
}

struct Middle {
  Vector3d mean = Vector3d::Zero();
  Moments moments;  ///< about the mean: about any other origin they lose their digits
};

/// Nothing where the points have no extent.
bool find_middle(const Matrix3Xd& points, Middle& out) {
  Ball ball;
  for (int round = 0; round < kMostLeavings; ++round) {
    const Sum sum = sum_within(ball, points);
    if (sum.count < 3.0) return false;
    out.mean = ball.middle + sum.offset / sum.count;
    out.moments = moments_about(out.mean, points, ball);
    const double rms = std::sqrt(out.moments.second.trace() / out.moments.count);
    if (!(rms > 0.0) || !std::isfinite(rms)) return false;
    if (out.moments.farthest <= kFarthestRms * rms) return true;
    ball = {out.mean, kFarthestRms * rms};
  }
  return true;
}

/// Any turn far from those that lay the axes on themselves.
Matrix3d slant() {
  return Eigen::Quaterniond(0.8, 0.21, 0.43, 0.36).normalized().toRotationMatrix();
}

}  // namespace

Isometry3d own_frame(const Matrix3Xd& points) {
  Isometry3d T_own_points = Isometry3d::Identity();
  Middle middle;
  if (!find_middle(points, middle)) return T_own_points;
  Matrix3d axes = Eigen::SelfAdjointEigenSolver<Matrix3d>(middle.moments.second).eigenvectors();
  for (int k = 1; k < 3; ++k) {
    if (middle.moments.third_along(axes.col(k)) < 0.0) axes.col(k) *= -1.0;
  }
  axes.col(0) = axes.col(1).cross(axes.col(2));
  T_own_points.linear() = slant() * axes.transpose();
  T_own_points.translation() = -(T_own_points.linear() * middle.mean);
  return T_own_points;
}

}  // namespace trammel
