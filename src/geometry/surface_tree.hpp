#pragma once

/// Builds the tree that wide_search.hpp walks.

#include <cstdint>
#include <vector>

#include "trammel/model/mesh.hpp"
#include "wide_tree.hpp"

namespace trammel {

/// Nodes and leaves over all triangles of a mesh. The same on any number of threads.
struct SurfaceTree {
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();
  float radius = 0.0F;  ///< no coordinate of a corner, relative to the centre, is larger
  std::vector<wide::Node> nodes;
  std::vector<wide::Cones> cones;  ///< one for each node
  std::vector<wide::Leaf> leaves;

  [[nodiscard]] wide::Tree view() const {
    return {nodes.data(), cones.data(), leaves.data(), radius};
  }
};

/// O(#F log #F). @param mesh  at least one triangle
[[nodiscard]] SurfaceTree build_surface_tree(const Mesh& mesh);

}  // namespace trammel
