#pragma once

/// Who is next to whom in a mesh, and the pseudonormals that decide the side of a point.

#include <Eigen/Core>

#include "trammel/model/mesh.hpp"

namespace trammel {

/// The triangle across each edge.
struct EdgeNeighbours {
  static constexpr int kBorder = -1;       ///< no other triangle has this edge
  static constexpr int kNonManifold = -2;  ///< two or more others have it
  Eigen::Matrix3Xi across;                 ///< 3 × #F; row k is edge (corner k, corner k + 1)
};

/// O(#F): edges are bucketed by their lower vertex. Vertices must be welded.
[[nodiscard]] EdgeNeighbours edge_neighbours(const Mesh& mesh);

/// Angle-weighted vertex normals Σ αᵢ nᵢ [Bærentzen & Aanæs 2005], not normalised. 3 × #V.
[[nodiscard]] Eigen::Matrix3Xd angle_weighted_normals(const Mesh& mesh);

}  // namespace trammel
