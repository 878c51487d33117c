#pragma once

/// What holds a wall of the part from both sides, as the jaws of a clamp do.

#include <Eigen/Core>
#include <Eigen/Geometry>
#include <vector>

#include "trammel/geometry/surface_index.hpp"
#include "trammel/model/deviations.hpp"

namespace trammel {

struct Grip {
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();  ///< on the design's surface
  double radius_mm = 0.0;                               ///< its foot, of both sides, lies within
  double height_mm = 0.0;  ///< over the face, of what was scanned of it within the reach
};

/// Scanned surface that stands straight over a face of the design by 3 mm or more, with more of it
/// straight across on the other face of the wall, while on both faces the drawn surface goes on in
/// its place around it: a clamp looks so, and so would two lumps of weld. Which it is cannot be
/// known, so its points are made Beside (those that read as proud by more than 1 mm within 8 mm of
/// its foot, and by 3 mm or more within 20 mm) and neither fail the part nor let it pass. Not where
/// the whole face is off: a plate of another thickness, a tab too wide. Not what is inferred
/// (`Deviations::inferred`).
/// @param scan_points_mm  3 × #P, scan frame
/// @param normals         3 × #P, unit, design frame, as `facing_normals` gives them
/// @param spacing_mm      of the scan
/// @return most points first
std::vector<Grip> set_aside_grips(const Eigen::Matrix3Xd& scan_points_mm,
                                  const Eigen::Isometry3d& T_design_scan,
                                  const Eigen::Matrix3Xd& normals, const SurfaceIndex& design,
                                  double spacing_mm, Deviations& deviations);

/// The place lies at the foot of one of them.
[[nodiscard]] bool is_of_a_grip(const Eigen::Vector3d& place_mm, const std::vector<Grip>& grips);

}  // namespace trammel
