#pragma once

/// What is sound and what is not in a mesh, counted after equal vertices are welded.

#include <cstddef>
#include <string>
#include <vector>

namespace trammel {

struct MeshHealth {
  std::size_t open_edges = 0;           ///< edges with one triangle
  std::size_t non_manifold_edges = 0;   ///< edges with three or more triangles
  std::size_t mixed_winding_edges = 0;  ///< edges that two triangles run along the same way
  std::size_t mixed_winding_left = 0;   ///< of these, what mending could not make consistent
  std::size_t zero_area_triangles = 0;
  std::size_t repeated_triangles = 0;  ///< same three corners as an earlier one
  std::size_t shells = 0;              ///< connected pieces
  bool closed = false;                 ///< no open and no non-manifold edge
  bool inside_out = false;             ///< closed and of negative volume
  std::vector<std::string> repairs;    ///< what was mended, in words; empty when nothing was
};

}  // namespace trammel
