#pragma once

/// Cells put together again where they read alike, to show a part with fewer of them.

#include <Eigen/Core>
#include <array>
#include <vector>

#include "trammel/model/inspection.hpp"

namespace trammel {

/// A cell, or what came of joining several; it lies in one plane and has three straight sides.
struct JoinedCell {
  std::array<int, 3> corner{};                  ///< vertices of the surface's cells
  std::array<double, 3> corner_deviation_mm{};  ///< NaN where unseen
  double low_mm = 0.0, high_mm = 0.0;  ///< readings of what it is made of; NaN where unseen
  double corner_error_mm = 0.0;  ///< how far corner deviations that were left out lie off at most
  int triangle = 0;              ///< of the design
  int region = 0, band = 0;      ///< the same in all it is made of

  /// The reading that stands for all, off by half of high − low at most.
  [[nodiscard]] double reading_mm() const { return 0.5 * (low_mm + high_mm); }
};

/// #C index of the band at each cell: 0 the plan's, 1 + the zone's index in one.
[[nodiscard]] std::vector<int> band_indices(const Inspection& inspection);

/// Every cell by itself, in the surface's order.
/// @param corners_mm  3 × #C, as `corner_deviations` gives them
/// @param bands       as `band_indices` gives them
[[nodiscard]] std::vector<JoinedCell> single_cells(const SurfaceMap& surface,
                                                   const Eigen::Matrix3Xd& corners_mm,
                                                   const std::vector<int>& bands);

/// Undoes the halving that made the cells, as far as readings agree. Only cells that follow one
/// another and share a halved edge are joined, so the shape stays as it is.
/// @param cells         single ones, or what joining within less has left
/// @param tolerance_mm  ≥ 0; no reading and no corner is off by more
[[nodiscard]] std::vector<JoinedCell> joined_cells(const SurfaceCells& surface,
                                                   std::vector<JoinedCell> cells,
                                                   double tolerance_mm);

}  // namespace trammel
