#pragma once

/// Betters what the rims tell of a hole by the few points that were seen of its wall.

#include <Eigen/Core>

#include "trammel/geometry/find_hole.hpp"
#include "trammel/geometry/measure_hole.hpp"

namespace trammel {

/// A wall seen too little of to fit a circle to still says where it is: centre and radius are the
/// least squares over its points and over what the rims say, each by its standard error; so is the
/// lean of an axis that is tilted, any other stays. Points count that look at the axis from between
/// the hole's ends, level with the circle as far as both errors allow (Tukey's biweight).
/// @param rims      measured by rims
/// @param noise_mm  > 0, 1 σ of a point; the wall's own scatter where that is larger
/// @param coating_mm  matting spray on the wall
/// @return `points` more than in `rims` by those on the wall, `rms_mm` their scatter about it, at
///         least the noise; `rims` as they are where fewer than five points lie on the wall, or so
///         many off it that what was seen is none
[[nodiscard]] MeasuredHole sharpened_by_wall(const Eigen::Matrix3Xd& points_mm,
                                             const Eigen::Matrix3Xd& normals,
                                             const DesignHole& hole, const MeasuredHole& rims,
                                             double noise_mm, double coating_mm);

}  // namespace trammel
