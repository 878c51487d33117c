#pragma once

/// What a bent wall takes with it: a flange at its end, a boss or a rim that stands on it.

#include <Eigen/Core>
#include <cstdint>
#include <vector>

#include "trammel/judge/explain.hpp"
#include "trammel/model/surface_map.hpp"

namespace trammel {

struct CarriedFaces {
  std::vector<std::uint8_t> face;  ///< of each flat face, 1 where it goes with the wall
  Eigen::VectorXd moved_mm;  ///< #C, deviation that going with it makes, of those faces; else 0
};

/// Faces that are off as they would be if they were fast on the wall: a place h over the wall's
/// middle plane, where that is moved by f, goes by f along its normal and by −h ∇f along the plane.
/// They must hang together with the wall over surface that goes with it where that matters, not by
/// way of its foot; and what is left of their readings must be small: no more than matters, or a
/// fifth of them.
/// @param flaw         of a wall
/// @param placed_mm    #C, readings less the motion of the part; NaN where there is none
/// @param matters_mm   #C, smallest deviation that is worth telling
[[nodiscard]] CarriedFaces carried_by(const ExplainedFlaw& flaw, const std::vector<FlatFace>& faces,
                                      const Eigen::VectorXi& face_of_cell,
                                      const SurfaceCells& cells, const Eigen::VectorXd& placed_mm,
                                      const Eigen::VectorXd& matters_mm);

}  // namespace trammel
