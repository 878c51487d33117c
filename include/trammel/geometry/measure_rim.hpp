#pragma once

/// Measures a round hole by its rim: where the scanned face around it ends. Of thin sheet, and of
/// holes scanned from straight above, a scan shows little else.

#include <Eigen/Core>
#include <string>

#include "trammel/geometry/find_hole.hpp"
#include "trammel/geometry/measure_hole.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel {

enum class HoleEnd { Low = -1, High = 1 };  ///< of the wall, along the design hole's axis

/// Whether the wall meets a flat face of the design square to its axis at that end, all around: a
/// chamfer or a blind end has no rim that tells of the wall.
/// @param design  welded, the mesh that `hole` was found in
[[nodiscard]] bool has_square_rim(const Mesh& design, const DesignHole& hole, HoleEnd end);

struct MeasuredRim {
  bool measured = false;
  std::string reason;  ///< one sentence when not measured, otherwise empty

  // The rest holds only when measured.
  Eigen::Vector3d offset_mm = Eigen::Vector3d::Zero();  ///< of the rim's centre, across the axis
  double radius_mm = 0.0;
  double center_error_mm = 0.0;  ///< 1 σ of a coordinate of the centre
  double radius_error_mm = 0.0;  ///< 1 σ
  double cover_deg = 0.0;        ///< of the circle next to which the face was seen
  int points = 0;                ///< of the face, within half a radius of the rim
  double noise_mm = 0.0;         ///< of the face, 1 σ
};

struct MeasureRimSettings {
  double least_cover_deg = 270.0;
  double coating_mm = 0.0;  ///< matting spray on the wall: the hole is that much wider all around
};

/// The face is the plane about the rim, whose points tell the noise; where they leave off is found
/// by `fit_rim`.
/// @param points_mm  3 × #P scan points in the design frame, of anything
/// @param normals    3 × #P unit, out of the material
[[nodiscard]] MeasuredRim measure_rim(const Eigen::Matrix3Xd& points_mm,
                                      const Eigen::Matrix3Xd& normals, const DesignHole& hole,
                                      HoleEnd end, const MeasureRimSettings& settings = {});

/// A hole by its rims, for one whose wall was not seen well enough (`measure_hole`). From both rims
/// its axis runs through their centres, its diameter is their mean and its narrowest width the
/// narrower one; from one rim the design's axis is taken, and what lies deeper is not known. What
/// few points were seen of the wall join in, and have the last word on whether it leans the way the
/// rims say. A lean that two rims alone tell must be seven standard errors; from four on it widens
/// the errors of the place and of the width.
/// @param design  welded, the mesh that `hole` was found in
[[nodiscard]] MeasuredHole measure_by_rims(const Mesh& design, const Eigen::Matrix3Xd& points_mm,
                                           const Eigen::Matrix3Xd& normals, const DesignHole& hole,
                                           const MeasureRimSettings& settings = {});

}  // namespace trammel
