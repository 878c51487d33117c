#pragma once

/// Flat faces without needles: CAD writes a flat face as a fan of long thin triangles from the rim
/// of each hole, and whatever cuts the surface into small pieces makes far too many of them.

#include "trammel/model/mesh.hpp"

namespace trammel {

/// The same surface, its flat faces drawn with triangles that are not long and thin: edges longer
/// than the limit are halved where they bound a needle (longest edge first [Rivara 1997]), and
/// edges within a flat face are swung until they are Delaunay [Lawson 1977]. Triangles keep their
/// winding; new ones come last. Faces of one or two triangles, as rounds are made of, stay.
///
/// Vertices stay where they are and new ones lie on edges; a swung edge leaves the surface by no
/// more than 1e-7 of the diagonal, which is how far the rounding of an STL file's numbers takes the
/// corners of a flat face off its plane.
/// @param mesh            welded, of one winding; open and non-manifold edges are left alone
/// @param longest_edge_mm > 0; needles shorter than this stay
[[nodiscard]] Mesh even_triangles(Mesh mesh, double longest_edge_mm);

}  // namespace trammel
