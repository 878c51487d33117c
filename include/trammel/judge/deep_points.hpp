#pragma once

/// Scanned points deep in the material, which may be the walls of a slit, and the room for such.

#include <Eigen/Core>
#include <cstdint>
#include <vector>

#include "trammel/geometry/surface_cells.hpp"
#include "trammel/geometry/surface_index.hpp"
#include "trammel/judge/surface_out_of_place.hpp"

namespace trammel {

/// How deep a scanner sees into a slit of 1 mm: light and camera stand 20° apart or more.
inline constexpr double kSeenDeep_mm = 3.0;

/// What may be the walls of a slit.
struct SlitEvidence {
  const PlacedScan& scan;
  const SurfaceIndex& design;
  const SurfaceCells& cells;
  /// #P, 1: in the material and looking across the nearest face; empty where normals are guesses
  const std::vector<std::uint8_t>& across;
};

enum class Depth {
  None,
  Shallow,  ///< within the band of one face, or of the two of a wall
  Across,   ///< so, but it looks across the face
  Beyond,   ///< deeper than the band under every face, by U and noise
};

struct DeepPoint {
  Eigen::Index point = 0;
  Eigen::Vector3d face = Eigen::Vector3d::Zero();  ///< normal of the nearest
  double depth_mm = 0.0;
  Depth kind = Depth::None;
};

/// How deep what lies under this place must be to be out of its band for sure, mm.
[[nodiscard]] double beyond_band_mm(const PlacedScan& scan, const Eigen::Vector3d& foot_mm);

/// All that are not Depth::None, in the order of the scan.
[[nodiscard]] std::vector<DeepPoint> deep_points(const SlitEvidence& evidence);

/// Where a point can lie deep enough to be Depth::Beyond, down to where a scanner sees.
struct DeepMaterial {
  double area_mm2 = 0.0;    ///< of the faces over it
  double volume_mm3 = 0.0;  ///< of it, each part under the face that it is nearest to
};

/// One closest point a cell.
[[nodiscard]] double deep_area_mm2(const SlitEvidence& evidence);

/// Down from each cell to where another face is as near: seven closest points a cell.
[[nodiscard]] double deep_volume_mm3(const SlitEvidence& evidence);

}  // namespace trammel
