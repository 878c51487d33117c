#pragma once

/// Designs that are round about an axis (a bushing, a washer, a knob): no scan tells how far such a
/// part is turned about it.

#include <Eigen/Geometry>
#include <optional>

#include "trammel/geometry/surface_index.hpp"
#include "trammel/model/alignment.hpp"

namespace trammel {

/// The axis of a design that every turn about it lays on itself, within 1/500 of its diagonal.
///
/// Every vertex, and the middle and facing of every triangle, are turned by seven angles that
/// divide no circle evenly; what lies off the surface then, or on a face that looks elsewhere, ends
/// it. So a hole, a flat or a keyway is missed by no turn: its own wall comes to lie beside it.
/// Axes tried are the principal ones of the surface and of its normals. A ball has none.
[[nodiscard]] std::optional<RoundAxis> axis_of_round(const SurfaceIndex& design);

/// The unit motion that turns about the axis: rotation times `arm_mm` about `center_mm`, then
/// shift, as the normal equations of a fit have it.
[[nodiscard]] Eigen::Matrix<double, 6, 1> turn_about_axis(const RoundAxis& round,
                                                          const Eigen::Vector3d& center_mm,
                                                          double arm_mm);

/// corner_distance_mm (motions.hpp), of a round design after the turn about its axis that brings
/// the two poses closest.
[[nodiscard]] double pose_distance_mm(const Eigen::Isometry3d& a, const Eigen::Isometry3d& b,
                                      const Box& design_box, const std::optional<RoundAxis>& round);

}  // namespace trammel
