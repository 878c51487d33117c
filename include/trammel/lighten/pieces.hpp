#pragma once

/// A mesh taken apart: what hangs together, or what is smooth.

#include <Eigen/Core>
#include <vector>

#include "trammel/model/mesh.hpp"

namespace trammel {

/// The triangles and only the vertices that they use, in their old order.
[[nodiscard]] Mesh compacted(const Mesh& mesh, const Eigen::Matrix3Xi& triangles);

/// Pieces that hang together by edges, largest number of triangles first; unused vertices dropped.
[[nodiscard]] std::vector<Mesh> connected_pieces(const Mesh& mesh);

struct CreaseSettings {
  double least_angle_rad = 0.52;  ///< neighbours that turn by more (30°) lie on two faces
  double least_share = 1e-4;      ///< of the mesh's area; smaller pieces join a neighbour
  int passes = 10;                ///< of smoothing the normals
};

/// Smooth faces: connected pieces, cut along creases. Every triangle is in exactly one of them.
///
/// A scan's noise turns neighbouring triangles against each other as well, so normals are smoothed
/// first, by their neighbours in proportion to area and to how alike they look, which leaves
/// creases sharp [bilateral filter of normals: Zheng, Fu, Au & Tai 2011, IEEE TVCG 17(10)]. A piece
/// that is too small to be a face joins the neighbour with which it shares most of its border.
/// @param mesh  welded, consistently wound (geometry/mend.hpp)
/// @return      largest number of triangles first; unused vertices dropped
[[nodiscard]] std::vector<Mesh> smooth_pieces(const Mesh& mesh,
                                              const CreaseSettings& settings = {});

}  // namespace trammel
