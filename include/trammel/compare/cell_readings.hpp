#pragma once

/// From readings at scan points to readings of design cells: what was seen, and how far it is off.

#include "trammel/geometry/surface_cells.hpp"
#include "trammel/model/deviations.hpp"
#include "trammel/model/surface_map.hpp"

namespace trammel {

struct CellSettings {
  double radius_mm = 0.8;   ///< readings are pooled over this distance along the surface
  double spacing_mm = 0.5;  ///< of the scan; a cell is unseen when none lies within 2.5 spacings
};

/// The median of the readings around each cell (a median keeps the edge of a defect sharp and lets
/// no single stray through), pooled along the surface over cells that face the same way within 45°.
/// A cell at least half of whose readings lead through missing material is marked as missing.
/// @param design  the mesh that was cut into the tree
[[nodiscard]] CellReadings read_cells(const Mesh& design, const CellTree& tree,
                                      const Deviations& deviations, const CellSettings& settings);

/// Cell edge for a part and the smallest patch that is judged: a patch of `least_area_mm2` spans
/// several cells.
[[nodiscard]] double cell_edge_mm(double least_area_mm2, double design_diagonal_mm);

}  // namespace trammel
