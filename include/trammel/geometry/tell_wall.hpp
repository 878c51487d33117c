#pragma once

/// Tells wall from face about an opening in a scan whose normals were estimated: next to a rim they
/// mix the two, so there only a point's level can tell what it is of.

#include <Eigen/Core>

#include "trammel/geometry/fit_slot.hpp"
#include "trammel/model/round_kind.hpp"

namespace trammel {

/// A hole, pin or slot of the design: the axis is that of `shape`.
struct Opening {
  SlotShape shape;  ///< a round one has no straight length, whatever its long direction
  double low_mm = 0.0, high_mm = 0.0;  ///< ends of the wall along the axis, from the centre
  RoundKind kind = RoundKind::Hole;
};

struct PointsOfOpening {
  Eigen::Matrix3Xd points_mm, normals;  ///< 3 × #N
};

/// The scanned faces about the opening's ends are fitted with planes first. Of the points that lie
/// within four standard deviations of the noise of a plane, the wall's begin where it lies, so
///  - those on its far side are the face's, and get its normal, whatever was estimated;
///  - those on the wall's side may be either and are left out;
/// all others stay as they are. A wall is thus known by what stands clear of both faces, and a face
/// by its outer half, which the wall does not thicken towards the rim. An end whose face was not
/// seen changes nothing.
/// @param points_mm  3 × #P design frame, about the opening
/// @param normals    3 × #P unit, out of the material
[[nodiscard]] PointsOfOpening tell_wall(const Eigen::Matrix3Xd& points_mm,
                                        const Eigen::Matrix3Xd& normals, const Opening& opening);

}  // namespace trammel
