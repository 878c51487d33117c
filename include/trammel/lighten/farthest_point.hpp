#pragma once

/// How far one surface strays from another at most: proven for every point of it, not sampled.

#include <Eigen/Core>
#include <cstddef>

#include "trammel/geometry/surface_index.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel {

struct FarthestPoint {
  double at_least_mm = 0.0;                            ///< a point was found that lies so far off
  double at_most_mm = 0.0;                             ///< no point lies farther off
  Eigen::Vector3d where_mm = Eigen::Vector3d::Zero();  ///< of `at_least_mm`, on `from`
  bool proven = false;                                 ///< at_most_mm ≤ the limit
  std::size_t looked_up = 0;                           ///< closest points that it took
};

/// Bounds the largest distance from a point of `from` to `to` (one side of the Hausdorff distance).
///
/// The distance to one triangle is a convex function: over a flat piece of surface it is largest at
/// a corner. So a piece whose corners all lie within the limit of the triangle under its middle is
/// proven at once. Others are cut along that triangle's sides, so that in the end each piece has a
/// triangle of its own, or, where that does not help, halved until their size decides (the distance
/// to a surface changes no faster than the point moves). Stops early where a point beyond the limit
/// was found.
/// @param limit_mm  > 0
[[nodiscard]] FarthestPoint farthest_point(const Mesh& from, const SurfaceIndex& to,
                                           double limit_mm);

}  // namespace trammel
