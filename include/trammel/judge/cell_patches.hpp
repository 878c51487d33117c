#pragma once

/// Cells that hang together.

#include <cstdint>
#include <vector>

#include "trammel/model/surface_map.hpp"

namespace trammel {

/// Groups the chosen cells over shared edges, each in the order it is walked, and the groups in the
/// order of their first cells.
/// @param chosen  #C, not 0 where a cell belongs to a group
[[nodiscard]] std::vector<std::vector<int>> cell_patches(const SurfaceCells& cells,
                                                         std::vector<std::uint8_t> chosen);

/// Number of the smooth face that each cell belongs to, 0, 1, …: neighbours belong together where
/// their normals do not turn more than the cosine allows.
/// @return #C
[[nodiscard]] std::vector<int> smooth_face_of_cells(const SurfaceCells& cells, double least_cosine);

}  // namespace trammel
