#pragma once

/// The cells of one face of the design, and how much of them was seen.

#include <Eigen/Core>
#include <cstdint>
#include <string>
#include <vector>

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

/// The chosen cells without those nearer to the border of their face than `margin_mm`: there a
/// scanned point beside the face counts to its edge, and is off sideways.
[[nodiscard]] Eigen::VectorXi without_edges(const Eigen::VectorXi& of_face,
                                            const SurfaceCells& cells, double margin_mm);

/// What was read of each chosen cell, and how many scan points that rests on.
struct CellValues {
  Eigen::VectorXi chosen;    ///< #C, 0 where chosen, −1 elsewhere
  Eigen::VectorXd value_mm;  ///< #C, NaN where there is none
  Eigen::VectorXd points;    ///< #C, in the cell
  Eigen::VectorXd support;   ///< #C, behind its value, 0 where there is none
  /// The same of a piece as large on the other side of a wall; empty where there is no wall.
  Eigen::VectorXd points_across, support_across;
  std::vector<std::uint8_t> missing{};  ///< #C, 1 where the surface is missing; may be empty
  [[nodiscard]] bool is_missing(Eigen::Index cell) const {
    return !missing.empty() && missing[static_cast<std::size_t>(cell)] != 0;
  }
};

/// Scan points in each cell, #C.
[[nodiscard]] Eigen::VectorXd points_in_cells(const CellReadings& readings);

/// The deviations of the chosen cells that have a reading.
/// @param points  as `points_in_cells`
[[nodiscard]] CellValues values_of(const Eigen::VectorXi& chosen, const CellReadings& readings,
                                   const Eigen::VectorXd& points);

/// How much of the chosen cells has a value, or lies between such cells: two of its three
/// neighbours. A scan of two points a mm² leaves such a cell here and there, and no patch that
/// counts hides in one.
struct FaceSight {
  double area_mm2 = 0.0;                                ///< of all chosen cells
  double share = 0.0;                                   ///< with a value; 0 where none was chosen
  double gap_mm2 = 0.0;                                 ///< the largest connected piece without
  Eigen::Vector3d gap_at_mm = Eigen::Vector3d::Zero();  ///< a place in it
  double missing_mm2 = 0.0;                             ///< where the surface is not there
  Eigen::Vector3d missing_at_mm = Eigen::Vector3d::Zero();  ///< the last such place
};
[[nodiscard]] FaceSight sight_of(const CellValues& values, const SurfaceCells& cells);

/// Why form is not proven by what was seen, one clause; empty when it is. A dent hides in any gap:
/// form is held for proven where 90 % of the face has a reading and no gap is larger than 2 % of
/// it, or than five of the smallest patches that count where that is more (common practice, no
/// source). Where as much as the smallest patch is missing, there is no form of all of the face.
/// @param least_area_mm2  of the smallest patch that counts
[[nodiscard]] std::string why_not_all_seen(const FaceSight& sight, double least_area_mm2);

}  // namespace trammel
