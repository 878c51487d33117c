#pragma once

/// Welds equal vertices, counts what is unsound, and mends what has one answer.

#include "trammel/model/mesh.hpp"
#include "trammel/model/mesh_health.hpp"

namespace trammel {

struct MendedMesh {
  Mesh mesh;
  MeshHealth health;  ///< counts as found after welding; `repairs` says what was mended
};

/// Mends:
/// - vertices at exactly the same place become one; so do vertices of open edges that lie nearer
///   than 1e-6 of the box's diagonal to each other;
/// - triangles with two equal corners are dropped, and so are repeated ones
///   (geometry/repeated_triangles.hpp);
/// - mixed winding is made consistent over each manifold piece (by the majority of area), and a
///   closed piece whose volume is negative is turned outside out unless it lies inside another (a
///   cavity);
/// - the edge under a flat triangle of three different corners is swung, so that the surface stays
///   whole without it (geometry/slivers.hpp).
/// What has no single answer (open edges, non-manifold edges, one-sided pieces) is counted and
/// left. Triangles keep their order; vertices of no triangle are dropped. About 1 s a million
/// triangles.
/// @param mesh  corners must be in range; corners of triangles must be finite
[[nodiscard]] MendedMesh mend(Mesh mesh);

}  // namespace trammel
