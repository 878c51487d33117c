#pragma once

/// Triangles without area that hold a surface together.

#include <vector>

#include "trammel/model/mesh.hpp"

namespace trammel {

/// Height of a triangle above its longest side, mm; 0 when all corners are at one place.
[[nodiscard]] double height_mm(const Mesh& mesh, int triangle);

/// Triangles whose height is at most `tolerance_mm`, ascending.
[[nodiscard]] std::vector<int> flat_triangles(const Mesh& mesh, double tolerance_mm);

struct SwungMesh {
  Mesh mesh;
  std::size_t swung = 0;
};

/// Where one corner C of a flat triangle ABC lies within its longest side AB, dropping the triangle
/// would tear the surface open. Instead the edge AB is swung to CD, D being the corner of the
/// triangle on the other side: ABC and BAD become ADC and DBC, which cover the same surface. Left
/// as they are: triangles without such a neighbour, wound against it, or where CD exists already.
/// @param mesh  welded and of one winding; the order of triangles is kept
[[nodiscard]] SwungMesh swing_flat_triangles(Mesh mesh, double tolerance_mm);

}  // namespace trammel
