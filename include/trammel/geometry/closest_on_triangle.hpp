#pragma once

/// The closest point of one triangle, sound for needles and for triangles without area.

#include <Eigen/Core>
#include <cstdint>

namespace trammel {

/// Which part of its triangle a foot lies on. Edge k runs from corner k to corner k + 1 (mod 3).
enum class Feature : std::uint8_t { Face, Edge0, Edge1, Edge2, Vertex0, Vertex1, Vertex2 };

/// A triangle as its first corner and the two edges that leave it.
struct EdgeTriangle {
  Eigen::Vector3d a, ab, ac;
};

struct TriangleFoot {
  Eigen::Vector3d foot;
  double squared;  ///< squared distance, always measured from the foot itself
  Feature feature;
};

/// Height below 1/1000 of the longest side: barycentric coordinates lose their digits there.
[[nodiscard]] bool is_needle(const EdgeTriangle& t);

/// By the seven Voronoi regions of the triangle [Ericson 2005, §5.1.5]. Not for needles.
[[nodiscard]] TriangleFoot closest_on_plain_triangle(const EdgeTriangle& t,
                                                     const Eigen::Vector3d& p);

/// By its three sides as segments and its face in a frame along the longest side. Slower; for any
/// triangle, also one that is a segment or a point.
[[nodiscard]] TriangleFoot closest_on_any_triangle(const EdgeTriangle& t, const Eigen::Vector3d& p);

}  // namespace trammel
