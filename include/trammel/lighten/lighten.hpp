#pragma once

/// The fewest triangles that stay within a distance of a mesh, proven both ways.

#include <optional>
#include <string>
#include <vector>

#include "trammel/lighten/farthest_point.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel {

struct LightenSettings {
  double within_mm = 0.01;          ///< > 0
  std::size_t least_triangles = 0;  ///< no fewer than this
};

struct Lightened {
  Mesh mesh;  ///< vertices are vertices of the original, at the same places
  FarthestPoint from_original, from_light;  ///< both proven within the limit
  int tries = 0;
};

/// Collapses edges by quadric error (meshoptimizer) and proves the result against the original with
/// `farthest_point`, from each to the other; takes back as much as the proof asks for. Where
/// nothing can be proven the original comes back. Open edges, so the rims of holes, stay as they
/// are, vertex by vertex.
/// @param mesh  welded (geometry/mend.hpp)
[[nodiscard]] Lightened lighten(const Mesh& mesh, const LightenSettings& settings);

}  // namespace trammel
