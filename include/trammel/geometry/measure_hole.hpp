#pragma once

/// Measures a round hole or pin in the scan: where its axis is and how wide it is, or why that is
/// not known.

#include <Eigen/Core>
#include <cstdint>
#include <string>

#include "trammel/geometry/find_hole.hpp"

namespace trammel {

enum class HoleStatus {
  Measured,
  TooFewPoints,  ///< some of the wall was seen, not enough to fit
  Unseen,        ///< none of it, or too little of its circle
  NoCircle,      ///< what was seen does not lie on a circle
};

struct MeasuredHole {
  HoleStatus status = HoleStatus::Unseen;
  std::string reason;  ///< one sentence when not measured, otherwise empty

  // The rest holds only when measured.
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();  ///< on the measured axis, at the mid depth
  Eigen::Vector3d axis = Eigen::Vector3d::UnitZ();      ///< unit, along the design's axis
  Eigen::Vector3d offset_mm = Eigen::Vector3d::Zero();  ///< across the design's axis, at mid depth
  double worst_offset_mm = 0.0;  ///< length of the offset at the worse end of the wall
  double diameter_mm = 0.0;      ///< least squares
  double narrowest_mm = 0.0;     ///< smallest width across, noise averaged over 20° of the wall
  /// Least and greatest distance of two points across (ISO 14405-1, two-point size), noise averaged
  /// over 20° of the wall, where chance does not explain that they differ from the diameter; else
  /// that.
  double least_size_mm = 0.0, greatest_size_mm = 0.0;
  double center_error_mm = 0.0;    ///< 1 σ of a coordinate of the centre, from the fit
  double diameter_error_mm = 0.0;  ///< 1 σ, from the fit
  double rms_mm = 0.0;             ///< of the wall's points about the cylinder
  double cover_deg = 0.0;          ///< of the circle that was seen
  int points = 0;                  ///< that hold the fit
  int rims = 0;         ///< 0: measured by its wall; 1, 2: by so many rims (measure_rim.hpp)
  bool tilted = false;  ///< the axis leans beyond doubt; otherwise the design's was held
};

struct MeasureHoleSettings {
  int least_points = 20;
  double least_cover_deg = 200.0;
  double coating_mm = 0.0;  ///< matting spray on the scanned wall, taken off along the normal
  std::uint64_t seed = 1;   ///< of the random starts
};

/// A hole is looked for whose centre lies within the design's radius of its place and whose radius
/// is 0.5 to 1.6 times the design's. Wall points are those within the wall's depth (and a quarter
/// of it beyond either end) whose normals stand across the axis. The best of many circles through
/// two points along their normals starts a cylinder fit with Tukey's biweight, so that strays,
/// chamfers and neighbouring holes do not pull.
/// A wall out of round by more than 8 % of its radius is taken for one only where all of it was
/// seen and it is oval, up to 25 %: then its middle is known.
/// @param points_mm  3 × #P scan points in the design frame
/// @param normals    3 × #P unit, out of the material: a wall's normals look at the hole's axis, or
///                   away from a pin's
[[nodiscard]] MeasuredHole measure_hole(const Eigen::Matrix3Xd& points_mm,
                                        const Eigen::Matrix3Xd& normals, const DesignHole& hole,
                                        const MeasureHoleSettings& settings = {});

}  // namespace trammel
