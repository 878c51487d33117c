#pragma once

/// The readings that say where a surface lies, without those that say that it is missing: what is
/// not there has no form. They are of cells alone: `cell_of_point` is left empty, as there may be
/// millions of points.

#include <Eigen/Core>

#include "trammel/model/surface_map.hpp"

namespace trammel {

/// The readings of cells alone.
[[nodiscard]] CellReadings of_cells(const CellReadings& read);

/// The cell as one that was not seen.
void take_away(CellReadings& readings, Eigen::Index cell);

/// Missing cells, and cells that look their way no farther from one than `margin_mm`, as ones that
/// were not seen: beside an edge that the design does not have, readings are pooled with what lies
/// beyond it.
/// @param margin_mm  over which readings are pooled
[[nodiscard]] CellReadings of_surface_there(const SurfaceCells& cells, const CellReadings& read,
                                            double margin_mm);

/// Cells of faces that were not made as ones that were not seen: most of what was read of the face
/// is missing, or it borders on missing surface and less than half of it was seen. What is read of
/// the sides of a rib that is not there are points of the floor that it should stand on.
/// @param face_of_cell  #C, index of the flat face that the cell is part of, −1 on the rest
[[nodiscard]] CellReadings of_faces_made(const SurfaceCells& cells, const CellReadings& read,
                                         const Eigen::VectorXi& face_of_cell);

}  // namespace trammel
