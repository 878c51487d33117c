#include "trammel/geometry/mesh_edges.hpp"

#include <algorithm>
#include <numeric>

#include "trammel/base/large_pages.hpp"
#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

/// Where the sides with lower vertex v begin; #V + 1. A counting sort's first half.
std::vector<std::size_t> bucket_starts(const Eigen::Matrix3Xi& triangles,
                                       Eigen::Index vertex_count) {
  std::vector<std::size_t> start(static_cast<std::size_t>(vertex_count) + 1, 0);
  for (Eigen::Index t = 0; t < triangles.cols(); ++t) {
    for (int k = 0; k < 3; ++k) {
      const int low = std::min(triangles(k, t), triangles((k + 1) % 3, t));
      ++start[static_cast<std::size_t>(low) + 1];
    }
  }
  std::partial_sum(start.begin(), start.end(), start.begin());
  return start;
}

/// Root of a triangle's tree, with the path halved on the way (Tarjan & van Leeuwen 1984).
int root_of(std::vector<int>& parent, int node) {
  const auto at = [&](int i) -> int& { return parent[static_cast<std::size_t>(i)]; };
  while (at(node) != node) {
    at(node) = at(at(node));
    node = at(node);
  }
  return node;
}

}  // namespace

std::vector<EdgeUse> sorted_edge_uses(const Eigen::Matrix3Xi& triangles,
                                      Eigen::Index vertex_count) {
  const std::vector<std::size_t> start = bucket_starts(triangles, vertex_count);
  std::vector<std::size_t> next(start.begin(), start.end() - 1);
  auto uses = large_vector<EdgeUse>(static_cast<std::size_t>(3 * triangles.cols()));
  for (Eigen::Index t = 0; t < triangles.cols(); ++t) {
    for (int k = 0; k < 3; ++k) {
      const int from = triangles(k, t), to = triangles((k + 1) % 3, t);
      const int low = std::min(from, to);
      uses[next[static_cast<std::size_t>(low)]++] = {low, std::max(from, to),
                                                     static_cast<int>(3 * t + k), from < to};
    }
  }
  for_each_index(static_cast<std::size_t>(vertex_count), [&](std::size_t vertex) {
    const auto at = [&](std::size_t i) { return uses.begin() + static_cast<std::ptrdiff_t>(i); };
    std::sort(at(start[vertex]), at(start[vertex + 1]), [](const EdgeUse& a, const EdgeUse& b) {
      return a.high != b.high ? a.high < b.high : a.slot < b.slot;
    });
  });
  return uses;
}

EdgeCounts count_edges(const std::vector<EdgeUse>& uses) {
  EdgeCounts counts;
  for_each_edge(uses, [&](const EdgeUse* first, const EdgeUse* last) {
    if (last - first == 1) ++counts.open;
    if (last - first > 2) ++counts.non_manifold;
    if (last - first == 2 && first[0].forward == first[1].forward) ++counts.mixed_winding;
  });
  return counts;
}

Pieces pieces_by_edges(const std::vector<EdgeUse>& uses, Eigen::Index triangle_count) {
  std::vector<int> parent(static_cast<std::size_t>(triangle_count));
  std::iota(parent.begin(), parent.end(), 0);
  for_each_edge(uses, [&](const EdgeUse* first, const EdgeUse* last) {
    for (const EdgeUse* use = first + 1; use != last; ++use) {
      const int a = root_of(parent, first->triangle()), b = root_of(parent, use->triangle());
      parent[static_cast<std::size_t>(std::max(a, b))] = std::min(a, b);
    }
  });
  Pieces pieces;
  pieces.piece.resize(parent.size());
  for (std::size_t t = 0; t < parent.size(); ++t) {
    // The root is the lowest triangle of its piece, so it has been numbered before the others.
    const auto root = static_cast<std::size_t>(root_of(parent, static_cast<int>(t)));
    pieces.piece[t] = root == t ? pieces.count++ : pieces.piece[root];
  }
  return pieces;
}

}  // namespace trammel
