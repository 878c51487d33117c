#pragma once

/// Makes the triangles of a mesh run the same way round, and closed pieces face outwards.

#include <cstddef>
#include <vector>

#include "trammel/geometry/mesh_edges.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel {

struct WindingRepair {
  Mesh mesh;
  std::size_t turned_to_match = 0;    ///< triangles that ran against the larger part of their piece
  std::size_t left_mixed_edges = 0;   ///< edges of one-sided pieces (Möbius): no answer exists
  std::size_t pieces_turned_out = 0;  ///< closed pieces that were inside out
  std::size_t triangles_turned_out = 0;
};

/// A piece is what hangs together by edges of exactly two triangles. Within a piece the side with
/// the larger area wins. A piece is closed when every edge of it is run along as often one way as
/// the other; if its volume is then negative it is turned, unless it lies inside an odd number of
/// other closed pieces: then it is a cavity of them.
/// @param mesh  welded, without repeated corners in a triangle
/// @param uses  of the mesh's edges
[[nodiscard]] WindingRepair mend_winding(Mesh mesh, std::vector<EdgeUse> uses);
[[nodiscard]] WindingRepair mend_winding(Mesh mesh);

}  // namespace trammel
