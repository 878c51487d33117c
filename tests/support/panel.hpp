#pragma once

/// A wing panel of pressed sheet that belongs to no vehicle: for old and new scans of one thing.

#include <Eigen/Core>
#include <vector>

#include "trammel/model/mesh.hpp"

namespace trammel::test {

/// A round place that is pushed out along the surface's normal: full height over the inner half of
/// its radius, from there down to nothing by a cosine.
struct Push {
  Eigen::Vector2d at_mm;  ///< place in x and y of the panel
  double radius_mm = 30.0;
  double height_mm = 0.0;  ///< + outward
};

struct PanelOptions {
  std::vector<Push> pushes;
  double flange_bend_rad = 0.0;  ///< of the middle third of the flange, upward
  bool bracket = false;          ///< a plate of 44 × 28 × 4 mm with an upright, on the panel
  double grid_mm = 2.0;          ///< edges of its triangles
};

/// Outer skin (one surface, open edges) over [0, 360] × [0, 220] mm in x and y: crowned both ways,
/// with a crease, a round dish for a filler cap, two small ones, a wheel arch cut out of its lower
/// edge, one corner cut off, and a flange of 18 mm folded down along x = 0. It looks up (+z). No
/// symmetry.
[[nodiscard]] Mesh wing_panel(const PanelOptions& options = {});

/// A place of the undamaged skin. @param x, y  mm
[[nodiscard]] Eigen::Vector3d on_wing_panel(double x, double y);

/// Directions that a hand-held scanner looks from: all over the panel, none from below.
[[nodiscard]] std::vector<Eigen::Vector3d> panel_views();

}  // namespace trammel::test
