#pragma once

/// Random large scenes of a workshop, with or without a part among them: plates, ribs, boxes,
/// pipes, angle sections and curved panels.

#include <Eigen/Geometry>
#include <vector>

#include "trammel/base/random.hpp"
#include "trammel/model/mesh.hpp"
#include "trammel/model/scan.hpp"

namespace trammel::test {

/// About 600 × 500 mm: a flat or curved panel and what stands on it, here and there askew. A round
/// place is left free for a part.
struct RandomScene {
  Mesh mesh;  ///< several closed meshes that may run into each other: for ray casting alone
  Eigen::Vector3d free_place_mm;  ///< on the panel, the middle of the place that is left free
};

/// @param free_radius_mm  of the place that is left free
[[nodiscard]] RandomScene random_scene(double free_radius_mm, Rng rng);

/// A scan of a scene that a part lies in, or of the scene alone.
struct SceneScan {
  Scan scan;
  Eigen::Isometry3d T_design_scan = Eigen::Isometry3d::Identity();  ///< truth for the part
  double part_share = 0.0;  ///< of the points, within 0.3 mm of the part
};

/// The part stands in the free place of the scene, turned at random, its lowest point 0 to 5 mm
/// above the panel, and was scanned along with it.
/// @param points  of the whole scan
/// @param views   unit directions to the scanner; none: from all sides but below
[[nodiscard]] SceneScan scan_in_scene(const Mesh& part, std::size_t points, const Rng& rng,
                                      const std::vector<Eigen::Vector3d>& views = {});

/// The scene alone, as large as for the part.
[[nodiscard]] SceneScan scan_of_scene_without(const Mesh& part, std::size_t points, const Rng& rng,
                                              const std::vector<Eigen::Vector3d>& views = {});

}  // namespace trammel::test
