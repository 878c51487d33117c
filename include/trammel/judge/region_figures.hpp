#pragma once

/// What is said of a region in figures: how far it is off, and how much of it is missing.

#include <vector>

#include "trammel/model/surface_map.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// So much of the least area must be read beyond limit + U to prove a fail, and stands behind the
/// figure of a peak: one cell may be wrong, and of a face within U of its limit all of which hangs
/// together, such a cell in a corner would fail what it does not speak of.
constexpr double kProvenShare = 0.25;

struct RegionFigures {
  double area_mm2 = 0.0;
  double missing_mm2 = 0.0;         ///< of it, where the surface is not there
  Absence absence = Absence::None;  ///< Material where more than half is missing
  double mean_mm = 0.0;             ///< signed, weighted by area
  int peak = -1;                    ///< the cell that is told as the peak
};

/// The peak is the cell that is off the least of those that are off the most and are together as
/// large as `kProvenShare` of the least area, or of all of them where that is less: it has as much
/// behind it as a fail. Where no more than half is missing, missing cells enter neither peak nor
/// mean, and are told by their area alone.
/// @param of_region       its cells, at least one
/// @param least_area_mm2  of the smallest patch that is judged
[[nodiscard]] RegionFigures region_figures(const SurfaceCells& cells, const CellReadings& readings,
                                           const std::vector<int>& of_region,
                                           double least_area_mm2);

}  // namespace trammel
