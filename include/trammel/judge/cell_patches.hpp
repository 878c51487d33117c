#pragma once

/// Cells that hang together.

#include <cstddef>
#include <cstdint>
#include <vector>

#include "trammel/model/surface_map.hpp"

namespace trammel {

/// Groups the chosen cells over shared edges, each in the order it is walked, and the groups in the
/// order of their first cells.
/// @param chosen  #C, not 0 where a cell belongs to a group
[[nodiscard]] std::vector<std::vector<int>> cell_patches(const SurfaceCells& cells,
                                                         std::vector<std::uint8_t> chosen);

/// Patches of cells, grouped over gaps: each of a group lies within `gap_mm` of another of it, from
/// corner to corner of their cells. Groups and what they hold in the order of the patches.
/// @param patches  cells of each, one or more
/// @return numbers of patches, each once
[[nodiscard]] std::vector<std::vector<std::size_t>> patches_close_together(
    const SurfaceCells& cells, const std::vector<std::vector<int>>& patches, double gap_mm);

/// Share of the seen surface that a scan point stands for, one as another, mm²; > 0.
[[nodiscard]] double area_of_a_point(const SurfaceCells& cells, const CellReadings& readings);

/// Number of the smooth face that each cell belongs to, 0, 1, …: neighbours belong together where
/// their normals do not turn more than the cosine allows.
/// @return #C
[[nodiscard]] std::vector<int> smooth_face_of_cells(const SurfaceCells& cells, double least_cosine);

}  // namespace trammel
