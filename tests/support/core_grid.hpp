#pragma once

/// Core points of two scans that differ nowhere.

#include "trammel/model/changes.hpp"

namespace trammel::test {

/// On a grid of 1 mm, 20 × 20, at z = 0: point 20 y + x lies at (x, y).
inline CorePoints core_grid(double detectable_mm, double random_mm) {
  CorePoints cores;
  cores.points_mm.resize(3, 400);
  for (int i = 0; i < 400; ++i)
    cores.points_mm.col(i) << i % 20, i / 20, 0;
  cores.normals = Eigen::Vector3d::UnitZ().replicate(1, 400);
  cores.area_mm2.setOnes(400);
  cores.change_mm.setZero(400);
  cores.detectable_mm.setConstant(400, detectable_mm);
  cores.random_mm.setConstant(400, random_mm);
  cores.state.assign(400, CoreState::Same);
  cores.change.assign(400, 0);
  return cores;
}

}  // namespace trammel::test
