#pragma once

/// What went wrong with a part as a whole, as a fitter would say it.

#include <Eigen/Core>
#include <string>

namespace trammel {

enum class FlawKind {
  Shrink,  ///< too small or too large, overall or along some of the design's axes
  Skin,    ///< every face proud or shy alike: paint, over-extrusion
  Offset,  ///< one face, or one wall with both its faces, off its place
  Lean,    ///< a face or wall turned about a line in it
  Bow,     ///< bent like a bow
  Twist,   ///< its ends turned against each other
  Dent,    ///< a patch pushed in
  Blob,    ///< a patch standing out
  Corner,  ///< a corner of a wall bent out of it, both faces alike
};

/// "shrink", "skin", "offset", "lean", "bow", "twist", "dent", "blob",
/// "corner".
[[nodiscard]] std::string flaw_name(FlawKind kind);

struct Flaw {
  FlawKind kind = FlawKind::Offset;
  bool of_wall = false;    ///< both faces of a wall moved alike: it is bent, not thicker
  double figure_mm = 0.0;  ///< signed, at its worst place; + proud of the face named
  double angle_rad = 0.0;  ///< of a lean or a twist, otherwise 0
  double share = 0.0;      ///< of the misfit (sum of squared deviations) that it explains, 0 … 1
  Eigen::Vector3d scale = Eigen::Vector3d::Ones();  ///< measured / drawn, along X, Y, Z
  double scale_error = 0.0;                         ///< 1 σ of the least sure of those that differ
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();  ///< worst place, on the design's surface
  Eigen::Vector3d normal = Eigen::Vector3d::Zero();  ///< out of the face; zero for the whole part
  std::string words;                                 ///< one sentence
  std::string action;                                ///< what to do about it
};

}  // namespace trammel
