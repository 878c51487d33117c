#pragma once

/// The edges of a mesh and the triangles that share them.

#include <Eigen/Core>
#include <cstddef>
#include <vector>

namespace trammel {

/// One side of one triangle. Side k of triangle t runs from its corner k to corner k + 1 (mod 3).
struct EdgeUse {
  int low, high;  ///< the two vertices, low < high
  int slot;       ///< 3 · t + k
  bool forward;   ///< the triangle runs along it from `low` to `high`
  [[nodiscard]] int triangle() const { return slot / 3; }
  [[nodiscard]] int side() const { return slot % 3; }
};

/// All sides, those of one edge beside each other, ordered by (low, high, slot). O(#V + #F).
/// @param triangles  3 × #F, #F under 700 million; each with three different corners
[[nodiscard]] std::vector<EdgeUse> sorted_edge_uses(const Eigen::Matrix3Xi& triangles,
                                                    Eigen::Index vertex_count);

/// Calls body(first, last) with the uses of each edge.
template <typename Body>
void for_each_edge(const std::vector<EdgeUse>& uses, const Body& body) {
  const EdgeUse* const end = uses.data() + uses.size();
  for (const EdgeUse* first = uses.data(); first != end;) {
    const EdgeUse* last = first + 1;
    while (last != end && last->low == first->low && last->high == first->high)
      ++last;
    body(first, last);
    first = last;
  }
}

struct EdgeCounts {
  std::size_t open = 0;           ///< one triangle
  std::size_t non_manifold = 0;   ///< three or more
  std::size_t mixed_winding = 0;  ///< two triangles that run along it the same way
};
[[nodiscard]] EdgeCounts count_edges(const std::vector<EdgeUse>& uses);

/// Connected pieces, numbered from 0 in the order of their first triangle.
struct Pieces {
  std::vector<int> piece;  ///< #F
  int count = 0;
};
/// Pieces that hang together by any shared edge.
[[nodiscard]] Pieces pieces_by_edges(const std::vector<EdgeUse>& uses, Eigen::Index triangle_count);

}  // namespace trammel
