#pragma once

/// A hand cart of no make, 2 m long, symmetric but for a box on one side; Z up, X forward.

#include "support/shapes.hpp"

namespace trammel::test {

struct CartOptions {
  bool floor = true;
  bool box_on_one_side = true;
  bool symmetric_ends = false;  ///< front like rear: a second plane of symmetry
};

/// Its plane of symmetry is y = 0, its floor z = 0.
inline Mesh cart(const CartOptions& options = {}) {
  std::vector<Eigen::Vector2d> side{{-1000, 150}, {1000, 150}, {1000, 420}, {760, 520},
                                    {380, 780},   {-500, 820}, {-900, 640}, {-1000, 620}};
  if (options.symmetric_ends)
    side = {{-1000, 150}, {1000, 150}, {1000, 500}, {700, 800}, {-700, 800}, {-1000, 500}};
  // Extruded along z, then z to y.
  const double width = 760.0;
  Eigen::Isometry3d lie = Eigen::Isometry3d::Identity();
  lie.linear() << 1, 0, 0, 0, 0, -1, 0, 1, 0;
  lie.translation() = Eigen::Vector3d(0, 0.5 * width, 0);
  std::vector<Mesh> parts{moved(extrude({side}, width), lie)};
  for (const double x : {-620.0, 640.0}) {
    if (options.symmetric_ends && x > 0.0) continue;
    for (const double y : {-400.0, 400.0}) {
      Eigen::Isometry3d wheel = Eigen::Isometry3d::Identity();
      wheel.linear() = Eigen::AngleAxisd(1.5707963267948966, Eigen::Vector3d::UnitX()).matrix();
      wheel.translation() = Eigen::Vector3d(options.symmetric_ends ? 0.0 : x, y, 160);
      parts.push_back(moved(cylinder(160, 90, 48), wheel));
    }
  }
  if (options.box_on_one_side) parts.push_back(box({-300, 380, 300}, {60, 470, 560}));
  if (options.floor) parts.push_back(box({-1500, -1000, -10}, {1500, 1000, 0}));
  return together(parts);
}

}  // namespace trammel::test
