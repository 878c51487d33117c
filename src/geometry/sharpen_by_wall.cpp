#include "sharpen_by_wall.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <vector>

#include "reweighted_fit.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/geometry/fit_cylinder.hpp"
#include "wall_limits.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Matrix3d;
using Eigen::Matrix3Xd;
using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr std::size_t kFewestOfWall = 5;  // three unknowns, and two to tell the scatter by

/// Seen along the axis, from the drawn one.
std::vector<Vector2d> wall_near(const Matrix3Xd& points, const Matrix3Xd& normals,
                                const DesignHole& hole, const Vector3d& circle, double coating_mm) {
  const auto [u, v] = across(hole.axis);
  std::vector<Vector2d> out;
  for (Index i = 0; i < points.cols(); ++i) {
    const Vector3d normal = normals.col(i);
    const Vector3d arm = points.col(i) - coating_mm * normal - hole.center_mm;
    const double level = hole.axis.dot(arm);
    if (level < hole.low_mm || level > hole.high_mm) continue;
    if (std::abs(hole.axis.dot(normal)) > wall_limits::kMostLean) continue;
    const Vector2d flat(arm.dot(u), arm.dot(v)), looks(normal.dot(u), normal.dot(v));
    const Vector2d in = circle.head<2>() - flat;
    if (in.dot(looks) < wall_limits::kLeastFacing * in.norm() * looks.norm()) continue;
    if (std::abs(in.norm() - circle.z()) <= wall_limits::kNear * circle.z()) out.push_back(flat);
  }
  return out;
}

struct Update {
  Vector3d circle;  ///< centre, radius
  Matrix3d covariance;
  std::size_t on_wall = 0;
};

/// One step of least squares over the wall's points near `at` and over the rims' circle.
Update step_from(const Vector3d& at, const std::vector<Vector2d>& wall, double sigma,
                 double reach_mm, const Vector3d& rims, const Matrix3d& rims_information) {
  Matrix3d information = rims_information;
  Vector3d right = rims_information * (rims - at);
  Update out;
  for (const Vector2d& p : wall) {
    const Vector2d out_of = p - at.head<2>();
    const double off = out_of.norm() - at.z();
    const double weight = reweighted::biweight(off, reach_mm) / (sigma * sigma);
    if (!(weight > 0.0)) continue;
    ++out.on_wall;
    const Vector3d slope(out_of.x() / out_of.norm(), out_of.y() / out_of.norm(), 1.0);
    information += weight * slope * slope.transpose();
    right += weight * off * slope;
  }
  out.covariance = information.inverse();
  out.circle = at + out.covariance * right;
  return out;
}

double scatter_mm(const Vector3d& circle, const std::vector<Vector2d>& wall, double reach_mm) {
  std::vector<double> off;
  for (const Vector2d& p : wall) {
    const double d = (p - circle.head<2>()).norm() - circle.z();
    if (std::abs(d) < reach_mm) off.push_back(d);
  }
  if (off.size() < kFewestOfWall) return 0.0;
  const auto n = static_cast<double>(off.size());
  return robust_sigma(off) * std::sqrt(n / (n - 3.0));
}

}  // namespace

MeasuredHole sharpened_by_wall(const Matrix3Xd& points_mm, const Matrix3Xd& normals,
                               const DesignHole& hole, const MeasuredHole& rims, double noise_mm,
                               double coating_mm) {
  const auto [u, v] = across(hole.axis);
  const Vector3d before(rims.offset_mm.dot(u), rims.offset_mm.dot(v), 0.5 * rims.diameter_mm);
  const double radius_error = 0.5 * rims.diameter_error_mm;
  const auto wall = wall_near(points_mm, normals, hole, before, coating_mm);
  if (wall.size() < kFewestOfWall || !(rims.center_error_mm > 0.0 && radius_error > 0.0))
    return rims;
  const Vector3d errors(rims.center_error_mm, rims.center_error_mm, radius_error);
  const Matrix3d information = errors.cwiseAbs2().cwiseInverse().asDiagonal();
  double sigma = noise_mm;
  double reach =
      reweighted::kTukey * std::hypot(noise_mm, std::hypot(rims.center_error_mm, radius_error));
  Update now{before, Matrix3d::Zero()};
  for (int round = 0; round < 20; ++round) {
    now = step_from(now.circle, wall, sigma, reach, before, information);
    sigma = std::max(noise_mm, scatter_mm(now.circle, wall, reach));
    reach = reweighted::kTukey * sigma;
  }
  const bool is_wall = now.on_wall >= kFewestOfWall &&
                       static_cast<double>(now.on_wall) >=
                           wall_limits::kLeastOnWall * static_cast<double>(wall.size());
  if (!is_wall) return rims;
  MeasuredHole out = rims;
  out.offset_mm = now.circle.x() * u + now.circle.y() * v;
  out.center_mm = hole.middle_mm() + out.offset_mm;
  out.worst_offset_mm += out.offset_mm.norm() - rims.offset_mm.norm();
  out.diameter_mm = 2.0 * now.circle.z();
  out.narrowest_mm += out.diameter_mm - rims.diameter_mm;
  out.least_size_mm = out.greatest_size_mm = out.diameter_mm;
  const Eigen::Matrix2d of_center = now.covariance.topLeftCorner<2, 2>();
  out.center_error_mm =
      std::sqrt(Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d>(of_center).eigenvalues()[1]);
  out.diameter_error_mm = 2.0 * std::sqrt(now.covariance(2, 2));
  out.points += static_cast<int>(now.on_wall);
  return out;
}

}  // namespace trammel
