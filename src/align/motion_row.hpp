#pragma once

/// One row of the fits that ask how a motion, and growth, move a point along the normal of the face
/// that it lies opposite.

#include <Eigen/Geometry>

#include "trammel/align/surface_fit.hpp"
#include "trammel/base/linear_algebra.hpp"

namespace trammel {

/// By rotation about the centre (in units of the arm, so that all unknowns are lengths) and by
/// translation; of 7 unknowns growth about the centre comes last, of 9 growth along each axis (of
/// the foot: the point itself holds the residual that is to be explained).
inline SmallVector motion_row(const Correspondence& c, const Eigen::Vector3d& center, double arm_mm,
                              Eigen::Index unknowns) {
  const Eigen::Vector3d p = c.p_design - center;
  SmallVector row(unknowns);
  row.head<3>() = p.cross(c.normal) / arm_mm;
  row.segment<3>(3) = c.normal;
  if (unknowns == 7) row[6] = (p.dot(c.normal) - c.residual_mm) / arm_mm;
  if (unknowns == 9) row.tail<3>() = (p - c.residual_mm * c.normal).cwiseProduct(c.normal) / arm_mm;
  return row;
}

}  // namespace trammel
