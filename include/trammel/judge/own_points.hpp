#pragma once

/// The readings of a face by points of its own, without those that other faces say of it.

#include <Eigen/Core>

#include "trammel/model/deviations.hpp"
#include "trammel/model/surface_map.hpp"

namespace trammel {

/// Cells as ones that were not seen that were read by what reaches over them
/// (`compare/missing_features.hpp`) and have too few points of their own within twice `pooled_mm`:
/// a side that goes on over the edge of a face says that the face is at least as high, and not
/// where it lies. A place may be shown to be too high by that; none may be measured by it.
/// @param normals    3 × #P, of the scan points, unit, in the design frame
/// @param pooled_mm  over which readings are pooled
[[nodiscard]] CellReadings by_own_points(const SurfaceCells& cells, const CellReadings& read,
                                         const Deviations& deviations,
                                         const Eigen::Matrix3Xd& normals, double pooled_mm);

}  // namespace trammel
