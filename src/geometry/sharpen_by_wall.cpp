#include "sharpen_by_wall.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>
#include <utility>
#include <vector>

#include "reweighted_fit.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/geometry/fit_cylinder.hpp"
#include "wall_limits.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Matrix3Xd;
using Eigen::Vector2d;
using Eigen::Vector3d;
/// Centre at mid depth, radius, and how far the axis leads aside a millimetre along the drawn one.
using Circle = Eigen::Matrix<double, 5, 1>;
using Information = Eigen::Matrix<double, 5, 5>;

constexpr std::size_t kFewestOfWall = 5;  // three unknowns, and two to tell the scatter by
constexpr double kHeldLean = 1e-9;        // standard error of a lean that is not asked for

/// Seen along the drawn axis, from there; its level from mid depth.
struct WallPoint {
  Vector2d flat;
  double level_mm;
};

Vector2d center_at(const Circle& circle, double level_mm) {
  return circle.head<2>() + level_mm * circle.tail<2>();
}

double beyond(const Circle& circle, const WallPoint& p) {
  return (p.flat - center_at(circle, p.level_mm)).norm() - circle[2];
}

/// How far an axis leads aside, across the drawn one, a millimetre along that.
Vector3d lean_of(const Vector3d& axis, const DesignHole& hole) {
  return axis / hole.axis.dot(axis) - hole.axis;
}

std::vector<WallPoint> wall_near(const Matrix3Xd& points, const Matrix3Xd& normals,
                                 const DesignHole& hole, const Vector3d& axis, const Circle& circle,
                                 double coating_mm) {
  const auto [u, v] = across(hole.axis);
  std::vector<WallPoint> out;
  for (Index i = 0; i < points.cols(); ++i) {
    const Vector3d normal = normals.col(i);
    const Vector3d arm = points.col(i) - coating_mm * normal - hole.center_mm;
    const double level = hole.axis.dot(arm);
    if (level < hole.low_mm || level > hole.high_mm) continue;
    if (std::abs(axis.dot(normal)) > wall_limits::kMostLean) continue;
    const WallPoint p{{arm.dot(u), arm.dot(v)}, level - 0.5 * (hole.low_mm + hole.high_mm)};
    const Vector2d looks(normal.dot(u), normal.dot(v));
    const Vector2d in = center_at(circle, p.level_mm) - p.flat;
    if (in.dot(looks) < wall_limits::kLeastFacing * in.norm() * looks.norm()) continue;
    if (std::abs(in.norm() - circle[2]) <= wall_limits::kNear * circle[2]) out.push_back(p);
  }
  return out;
}

struct Update {
  Circle circle;
  Information covariance;
  std::size_t on_wall = 0;
};

/// One step of least squares over the wall's points near `at` and over the rims' circle.
Update step_from(const Circle& at, const std::vector<WallPoint>& wall, double sigma,
                 double reach_mm, const Circle& rims, const Information& rims_information) {
  Information information = rims_information;
  Circle right = rims_information * (rims - at);
  Update out;
  for (const WallPoint& p : wall) {
    const double off = beyond(at, p);
    const double weight = reweighted::biweight(off, reach_mm) / (sigma * sigma);
    if (!(weight > 0.0)) continue;
    ++out.on_wall;
    const Vector2d outwards = (p.flat - center_at(at, p.level_mm)).normalized();
    Circle slope;
    slope << outwards, 1.0, p.level_mm * outwards;
    information += weight * slope * slope.transpose();
    right += weight * off * slope;
  }
  out.covariance = information.inverse();
  out.circle = at + out.covariance * right;
  return out;
}

double scatter_mm(const Circle& circle, const std::vector<WallPoint>& wall, double reach_mm) {
  std::vector<double> off;
  for (const WallPoint& p : wall) {
    const double d = beyond(circle, p);
    if (std::abs(d) < reach_mm) off.push_back(d);
  }
  if (off.size() < kFewestOfWall) return 0.0;
  const auto n = static_cast<double>(off.size());
  return robust_sigma(off) * std::sqrt(n / (n - 3.0));
}

/// What the rims say of each unknown, and by how much that may be wrong.
std::pair<Circle, Circle> told_by(const MeasuredHole& rims, const DesignHole& hole) {
  const auto [u, v] = across(hole.axis);
  const Vector3d lean = lean_of(rims.axis, hole);
  // The mean of two centres is known twice as well as their difference.
  const double of_lean = rims.tilted ? 2.0 * rims.center_error_mm / hole.depth_mm() : kHeldLean;
  Circle told, errors;
  told << rims.offset_mm.dot(u), rims.offset_mm.dot(v), 0.5 * rims.diameter_mm, lean.dot(u),
      lean.dot(v);
  errors << rims.center_error_mm, rims.center_error_mm, 0.5 * rims.diameter_error_mm, of_lean,
      of_lean;
  return {told, errors};
}

/// Of the offset at the worse end of the wall.
double worst_mm(const MeasuredHole& at, const DesignHole& hole) {
  const Vector3d half = 0.5 * hole.depth_mm() * lean_of(at.axis, hole);
  return std::max((at.offset_mm + half).norm(), (at.offset_mm - half).norm());
}

}  // namespace

MeasuredHole sharpened_by_wall(const Matrix3Xd& points_mm, const Matrix3Xd& normals,
                               const DesignHole& hole, const MeasuredHole& rims, double noise_mm,
                               double coating_mm) {
  const auto [u, v] = across(hole.axis);
  const auto [before, errors] = told_by(rims, hole);
  const auto wall = wall_near(points_mm, normals, hole, rims.axis, before, coating_mm);
  if (wall.size() < kFewestOfWall || !(errors.minCoeff() > 0.0)) return rims;
  const Information information = errors.cwiseAbs2().cwiseInverse().asDiagonal();
  double sigma = noise_mm;
  double reach = reweighted::kTukey * std::hypot(noise_mm, std::hypot(errors[0], errors[2]));
  Update now{before, Information::Zero()};
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
  out.offset_mm = now.circle[0] * u + now.circle[1] * v;
  out.center_mm = hole.middle_mm() + out.offset_mm;
  if (rims.tilted) out.axis = (hole.axis + now.circle[3] * u + now.circle[4] * v).normalized();
  out.worst_offset_mm += worst_mm(out, hole) - worst_mm(rims, hole);
  out.diameter_mm = 2.0 * now.circle[2];
  out.narrowest_mm += out.diameter_mm - rims.diameter_mm;
  out.least_size_mm = out.greatest_size_mm = out.diameter_mm;
  const Eigen::Matrix2d of_center = now.covariance.topLeftCorner<2, 2>();
  out.center_error_mm =
      std::sqrt(Eigen::SelfAdjointEigenSolver<Eigen::Matrix2d>(of_center).eigenvalues()[1]);
  out.diameter_error_mm = 2.0 * std::sqrt(now.covariance(2, 2));
  out.points += static_cast<int>(now.on_wall);
  out.rms_mm = sigma;
  return out;
}

}  // namespace trammel
