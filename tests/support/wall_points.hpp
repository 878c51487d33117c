#pragma once

/// Points on the wall of a hole, as an ideal scanner with normal noise would give them.

#include <Eigen/Core>
#include <Eigen/Geometry>
#include <cmath>
#include <vector>

#include "trammel/base/random.hpp"

namespace trammel::test {

struct OrientedPoints {
  Eigen::Matrix3Xd points_mm = Eigen::Matrix3Xd(3, 0);
  Eigen::Matrix3Xd normals = Eigen::Matrix3Xd(3, 0);

  void add(const OrientedPoints& more) {
    const auto before = points_mm.cols(), added = more.points_mm.cols();
    points_mm.conservativeResize(3, before + added);
    normals.conservativeResize(3, before + added);
    points_mm.rightCols(added) = more.points_mm;
    normals.rightCols(added) = more.normals;
  }
};

/// Points that look along one normal.
inline OrientedPoints looking(const std::vector<Eigen::Vector3d>& points,
                              const Eigen::Vector3d& normal) {
  OrientedPoints out;
  out.points_mm.resize(3, static_cast<Eigen::Index>(points.size()));
  for (std::size_t i = 0; i < points.size(); ++i)
    out.points_mm.col(static_cast<Eigen::Index>(i)) = points[i];
  out.normals = normal.replicate(1, out.points_mm.cols());
  return out;
}

/// A disc of points 0.5 mm apart about a place, across z, one of them in its middle.
inline OrientedPoints level_disc(const Eigen::Vector3d& center_mm, double radius_mm, double up) {
  std::vector<Eigen::Vector3d> points;
  const double reach_mm = std::ceil(radius_mm);
  for (double x = -reach_mm; x <= reach_mm; x += 0.5)
    for (double y = -reach_mm; y <= reach_mm; y += 0.5)
      if (std::hypot(x, y) <= radius_mm) points.push_back(center_mm + Eigen::Vector3d(x, y, 0));
  return looking(points, up * Eigen::Vector3d::UnitZ());
}

/// A hole along z: uniform over its wall from `from_deg` to `to_deg`, normals towards the axis.
struct WallShape {
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();  ///< at z = low
  double radius_mm = 4.0;
  double height_mm = 3.0;
  double from_deg = 0.0, to_deg = 360.0;
  double noise_mm = 0.0;
  double second_radius_mm = 0.0;  ///< of an ellipse, along y; 0 for a circle
};

inline OrientedPoints wall_of(const WallShape& shape, int count, Rng rng) {
  OrientedPoints wall;
  wall.points_mm.resize(3, count);
  wall.normals.resize(3, count);
  const double along_y = shape.second_radius_mm > 0.0 ? shape.second_radius_mm : shape.radius_mm;
  for (int i = 0; i < count; ++i) {
    const double angle = rng.uniform(shape.from_deg, shape.to_deg) * 3.14159265358979323846 / 180;
    const Eigen::Vector3d on(shape.radius_mm * std::cos(angle), along_y * std::sin(angle),
                             shape.height_mm * rng.uniform());
    const Eigen::Vector3d out =
        Eigen::Vector3d(along_y * std::cos(angle), shape.radius_mm * std::sin(angle), 0)
            .normalized();
    wall.points_mm.col(i) = shape.center_mm + on + shape.noise_mm * rng.normal() * out;
    wall.normals.col(i) = -out;
  }
  return wall;
}

}  // namespace trammel::test
