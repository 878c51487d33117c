#pragma once

/// The surface of a design that a scanner could see: not the inner faces of an assembly, not both
/// sides of sheets that lie on each other.

#include <optional>

#include "trammel/geometry/surface_cells.hpp"

namespace trammel {

/// 1 where a ray from the cell's outer side gets away without meeting the mesh (Embree).
///
/// Generous, as a scanner may be held anywhere: rays go along the normal, to the half sphere above
/// the cell some 10° apart, and close over the surface along the edges of its triangle, so that the
/// wall of a deep narrow hole counts as seen. Among many small cells that face alike in one place
/// three speak for all.
[[nodiscard]] std::vector<std::uint8_t> cells_seen_from_outside(const Mesh& mesh,
                                                                const SurfaceCells& cells);

/// The mesh without what nobody can see; nothing where less than 1 % of the area is hidden, and
/// where more than 70 % is: then it is wound inside out, or something stands around it, and hidden
/// tells nothing. Triangles that are seen in part are cut to pieces of 1/60 of the diagonal.
/// Vertices stay as they are, new ones after them; only the distance to it means something, no
/// sign.
/// @param uncut  the mesh's triangles as cells, where they are at hand; serve where none is cut
[[nodiscard]] std::optional<Mesh> seen_from_outside(const Mesh& mesh,
                                                    const SurfaceCells* uncut = nullptr);

}  // namespace trammel
