#pragma once

/// All round holes of a design.

#include <vector>

#include "trammel/geometry/find_hole.hpp"

namespace trammel {

struct FoundHoles {
  std::vector<DesignHole>
      holes;             ///< `center_mm` at mid depth; in the order of their first triangle
  bool complete = true;  ///< false when the search was broken off: a mesh all of creases
};

/// Through holes and blind ones, each step of a stepped one for itself; coarse or fine, as
/// `find_hole` knows them. Every crease between facets that lean towards each other starts a patch;
/// one whose facets turn through more than 100° about its axis (no fillet of an edge) is examined
/// as `find_hole` does, among the triangles around it. The whole costs about one walk over the
/// mesh, and one over it for each patch that may be a hole.
/// @param design  welded, wound outward
[[nodiscard]] FoundHoles find_holes(const Mesh& design, const FindHoleSettings& settings = {});

}  // namespace trammel
