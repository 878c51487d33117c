#pragma once

/// The cells of one face of the design, and how much of them was seen.

#include <Eigen/Core>
#include <string>

#include "trammel/geometry/smooth_face.hpp"
#include "trammel/model/surface_map.hpp"

namespace trammel {

/// @return #C, 0 for cells of the face, −1 for the others
[[nodiscard]] Eigen::VectorXi cells_of_face(const SmoothFace& face, const SurfaceCells& cells);

/// Share of the chosen area that a scanned surface lies opposite of; 0 where none was chosen.
/// @param of_face  #C, 0 where chosen, −1 elsewhere
[[nodiscard]] double seen_share(const Eigen::VectorXi& of_face, const SurfaceCells& cells,
                                const CellReadings& readings);

/// Whether a cell has a reading that no single stray can have made: a median of three or more.
[[nodiscard]] bool has_reading(const CellReadings& readings, Eigen::Index cell);

/// How much of the chosen cells has a reading.
struct FaceSight {
  double area_mm2 = 0.0;                                ///< of all chosen cells
  double share = 0.0;                                   ///< with a reading; 0 where none was chosen
  double gap_mm2 = 0.0;                                 ///< the largest connected piece without
  Eigen::Vector3d gap_at_mm = Eigen::Vector3d::Zero();  ///< a place in it
};
[[nodiscard]] FaceSight sight_of(const Eigen::VectorXi& of_face, const SurfaceCells& cells,
                                 const CellReadings& readings);

/// Why form is not proven by what was seen, one clause; empty when it is. A dent hides in any gap:
/// form is held for proven where 90 % of the face has a reading and no gap is larger than 2 % of
/// it, or than five of the smallest patches that count where that is more (common practice, no
/// source).
/// @param least_area_mm2  of the smallest patch that counts
[[nodiscard]] std::string why_not_all_seen(const FaceSight& sight, double least_area_mm2);

}  // namespace trammel
