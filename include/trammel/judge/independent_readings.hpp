#pragma once

/// Readings far enough apart to count as independent: what a claim about the part is tested on.

#include <Eigen/Core>

#include "trammel/model/surface_map.hpp"

namespace trammel {

/// Cells that lie beside each other share scan points, so their number proves nothing. Pooled over
/// blocks as wide as that sharing reaches, each block stands for one reading.
struct IndependentReadings {
  Eigen::Matrix3Xd place_mm;     ///< 3 × #B, on the design's surface
  Eigen::Matrix3Xd normal;       ///< 3 × #B, unit
  Eigen::VectorXi face;          ///< #B, index of the flat face, −1 on the rest
  Eigen::VectorXd deviation_mm;  ///< #B, mean over the block, weighted by area
  Eigen::VectorXd area_mm2;      ///< #B, seen area
  double side_mm = 0.0;          ///< of a block

  [[nodiscard]] Eigen::Index size() const { return deviation_mm.size(); }
  /// As many as blocks of full size fit on the seen surface.
  [[nodiscard]] double effective_count() const { return area_mm2.sum() / (side_mm * side_mm); }
};

/// Cells nearer together than this share scan points: readings are pooled within 0.8 of the radius
/// of the smallest patch that counts, or 2.5 spacings of the scan (compare/cell_readings.hpp).
[[nodiscard]] double pooled_mm(double least_area_mm2, double spacing_mm);

/// @param face_of_cell  #C, index of the flat face that the cell is part of, −1 on the rest
/// @param side_mm       > 0; cells that share scan points lie nearer together than this
[[nodiscard]] IndependentReadings independent_readings(const SurfaceCells& cells,
                                                       const CellReadings& readings,
                                                       const Eigen::VectorXi& face_of_cell,
                                                       double side_mm);

}  // namespace trammel
