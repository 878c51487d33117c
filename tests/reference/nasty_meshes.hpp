#pragma once

/// Meshes that break careless distance code; small enough for exact arithmetic.

#include <string>
#include <vector>

#include "trammel/model/mesh.hpp"

namespace trammel::test {

struct NastyMesh {
  std::string name;
  Mesh mesh;
};

/// Needles and slivers down to 1e-12 of their length, triangles twice and without area,
/// T-junctions, a vertex of 400 triangles, coordinates of 5,000 mm, touching shells.
[[nodiscard]] std::vector<NastyMesh> nasty_meshes();

/// Closed and of one winding, with knife edges, spikes and saddle vertices.
[[nodiscard]] std::vector<NastyMesh> sharp_solids();

}  // namespace trammel::test
