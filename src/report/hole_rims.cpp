#include "trammel/report/hole_rims.hpp"

#include <Eigen/Geometry>
#include <cmath>

#include "trammel/base/constants.hpp"
#include "trammel/base/stats.hpp"

namespace trammel {
namespace {

constexpr int kProbes = 12;      ///< around the hole
constexpr double kWiden = 1.15;  ///< probes run in the material just outside the wall
constexpr int kRingPoints = 48;

/// Unit vector across the axis at a turn of the circle.
Eigen::Vector3d across(const Eigen::Vector3d& axis, int step, int steps) {
  const Eigen::Vector3d first = axis.unitOrthogonal();
  const double turn = 2.0 * kPi * step / steps;
  return std::cos(turn) * first + std::sin(turn) * axis.cross(first);
}

/// Median way from the hole's middle to where the material ends along `direction`.
double way_out_mm(const HoleResult& hole, const Eigen::Vector3d& direction,
                  const SurfaceRays& rays) {
  std::vector<double> ways;
  const double radius = kWiden * 0.5 * hole.nominal_diameter_mm;
  for (int i = 0; i < kProbes; ++i) {
    const Eigen::Vector3d from = hole.nominal_mm + radius * across(direction, i, kProbes);
    const SurfaceRays::Hit hit = rays.first_hit(from, direction);
    ways.push_back(hit.cell < 0 ? 0.0 : hit.distance_mm);
  }
  return median_of(ways);
}

}  // namespace

HoleRims hole_rims(const HoleResult& hole, const SurfaceRays& rays) {
  HoleRims rims;
  rims.axis = hole.axis.norm() > 0.0 ? hole.axis.normalized() : Eigen::Vector3d::UnitZ();
  rims.radius_mm = 0.5 * hole.nominal_diameter_mm;
  rims.center_mm[0] = hole.nominal_mm + way_out_mm(hole, rims.axis, rays) * rims.axis;
  rims.center_mm[1] = hole.nominal_mm - way_out_mm(hole, -rims.axis, rays) * rims.axis;
  return rims;
}

std::size_t facing_rim(const HoleRims& rims, const View& view) {
  return rims.axis.dot(view.towards) >= 0.0 ? 0 : 1;
}

double visible_share(const HoleRims& rims, const View& view, const SurfaceRays& rays) {
  const std::size_t side = facing_rim(rims, view);
  const Eigen::Vector3d outward = side == 0 ? rims.axis : Eigen::Vector3d(-rims.axis);
  int seen = 0;
  for (int i = 0; i < kProbes; ++i) {
    const Eigen::Vector3d point =
        rims.center_mm[side] + kWiden * rims.radius_mm * across(rims.axis, i, kProbes);
    seen += rays.is_clear(point, outward, view.towards) ? 1 : 0;
  }
  return static_cast<double>(seen) / kProbes;
}

Eigen::Matrix3Xd ring_points(const Eigen::Vector3d& center_mm, const Eigen::Vector3d& axis,
                             double radius_mm) {
  Eigen::Matrix3Xd ring(3, kRingPoints);
  for (int i = 0; i < kRingPoints; ++i)
    ring.col(i) = center_mm + radius_mm * across(axis, i, kRingPoints);
  return ring;
}

}  // namespace trammel
