#pragma once

/// Where the scan has a flat face of the design, at one place of it.

#include <Eigen/Core>
#include <array>
#include <optional>
#include <string>

#include "trammel/geometry/smooth_face.hpp"
#include "trammel/model/surface_map.hpp"

namespace trammel {

struct MeasuredFace {
  std::string reason;  ///< why it was not measured, one clause; empty when it was

  // The rest holds only when measured.
  double height_mm = 0.0;  ///< of the measured plane over the drawn one at the place, + proud
  double height_uncertainty_mm = 0.0;  ///< 95 %, of that height, from the scatter about the plane
  std::optional<Eigen::Vector3d> normal;  ///< unit, outward; absent where the face is too small or
                                          ///< narrow to tell how it leans
  // Of the normal, where there is one.
  std::array<Eigen::Vector3d, 2> axes{};      ///< unit, in the face: its longer spread first
  std::array<double, 2> slope_uncertainty{};  ///< 95 %, of its lean along them, from the scatter
  std::array<double, 2> reach_mm{};           ///< how far its readings reach along them
  double seen = 0.0;                          ///< share of the face's area
  double rms_mm = 0.0;    ///< of the blocks about the plane: noise and the face's own form
  double readings = 0.0;  ///< blocks behind it, those cut off count in part
};

struct MeasureFaceSettings {
  double pooled_mm = 0.9;   ///< cells nearer together share scan points
  double least_seen = 0.6;  ///< share of the face that must be seen
};

/// Least-squares plane (Tukey's biweight) through the readings of a face, pooled over square blocks
/// wide enough to be independent, about ten along a side of the face and more. How the face leans
/// along a side is only asked for where the blocks spread over three of their widths that way; else
/// the design's direction is held.
///
/// The uncertainty is Student's factor for 95 % (JCGM 100, G.4) times √(aᵀ C a), C from the blocks'
/// scatter about the plane: what the face has of bow or dents counts as scatter. It does not hold
/// what all readings have in common.
/// @param face  flat; `face.at_mm` is the place
[[nodiscard]] MeasuredFace measure_face(const SmoothFace& face, const SurfaceCells& cells,
                                        const CellReadings& readings,
                                        const MeasureFaceSettings& settings = {});

/// Student's factor t for a two-sided interval of 95 %, to 0.5 % (table, and above ten degrees of
/// freedom 1.96 + 2.7/ν); infinite for less than one.
[[nodiscard]] double student_95(double degrees_of_freedom);

}  // namespace trammel
