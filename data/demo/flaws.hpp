#pragma once

/// What goes wrong in a workshop, done to a mesh on purpose.

#include <Eigen/Core>
#include <string>

#include "trammel/model/mesh.hpp"

namespace trammel::demo {

/// A flaw as it is told in the truth file.
struct Flaw {
  std::string kind;                                 ///< "shrink", "bow", "twist", "hole off place"
  std::string where;                                ///< in words
  Eigen::Vector3d at_mm = Eigen::Vector3d::Zero();  ///< where it is largest, in the design
  double size_mm = 0.0;                             ///< largest way of a point of the surface
};

/// Smaller in every direction about the middle of its box, as a print that cooled.
/// @param share  0.008 for 0.8 %
[[nodiscard]] Mesh shrunk(Mesh mesh, double share);

/// The housing's long wall at y = 0 pulled in by `depth_mm` in the middle of its upper edge;
/// corners and floor stay.
[[nodiscard]] Mesh wall_bowed_in(const Mesh& housing, double depth_mm);

/// The bracket's upright turned about the vertical through its middle, from nothing at the bend to
/// `angle_rad` at its top, as a sheet that was not clamped when it was welded.
[[nodiscard]] Mesh upright_twisted(const Mesh& bracket, double angle_rad);

}  // namespace trammel::demo
