#pragma once

/// How thick a wall is at each place: two readings that lie across from each other.

#include <Eigen/Core>
#include <optional>
#include <string>
#include <vector>

#include "trammel/geometry/smooth_face.hpp"
#include "trammel/judge/face_cells.hpp"
#include "trammel/model/surface_map.hpp"
#include "trammel/model/surface_rays.hpp"

namespace trammel {

/// What lies straight through the material under a place.
struct Through {
  int cell = -1;              ///< −1: not the far side of any material
  double thickness_mm = 0.0;  ///< along the normal, to the plane of the cell met
};

/// @param from_mm  on the design's surface
/// @param normal   unit, of the surface there, out of the material
/// @param cells    of the design, as the rays meet them
[[nodiscard]] Through through_material(const Eigen::Vector3d& from_mm,
                                       const Eigen::Vector3d& normal, const SurfaceCells& cells,
                                       const SurfaceRays& rays);

/// A wall of the design: the cells of one flat face, and those straight through the material.
struct DrawnWall {
  std::string reason;  ///< why there is none, one clause; empty when there is

  // The rest holds only without a reason.
  SmoothFace other;              ///< the flat face on its other side
  double thickness_mm = 0.0;     ///< at the place given
  std::vector<int> front, back;  ///< cells across from each other, by `front`
  Eigen::VectorXd drawn_mm;      ///< thickness from the front cell's middle, along its normal
};

/// The wall behind a flat face at `face.at_mm`. The other side must be flat and parallel to it to
/// 1°; where something else lies behind the face, it has no wall.
/// @param face       flat
/// @param cells      of the design
/// @param margin_mm  cells nearer to the edge of either face are left out
[[nodiscard]] DrawnWall find_wall(const SmoothFace& face, const SmoothFaces& faces,
                                  const SurfaceCells& cells, const SurfaceRays& rays,
                                  double margin_mm = 0.0);

/// The wall's thickness at its front cells: what is drawn and both deviations. Where either side
/// has no reading (judge/face_cells.hpp) there is none. A motion of the whole part adds to one side
/// what it takes from the other.
/// @param points  as `points_in_cells`
[[nodiscard]] CellValues wall_values(const DrawnWall& wall, const SurfaceCells& cells,
                                     const CellReadings& readings, const Eigen::VectorXd& points);

}  // namespace trammel
