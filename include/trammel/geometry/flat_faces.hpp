#pragma once

/// The flat faces of a design, and the walls that two of them make.

#include <Eigen/Core>
#include <vector>

#include "trammel/geometry/surface_index.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel {

/// A connected flat patch with a frame along its sides.
struct FlatFace {
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();  ///< middle of its box in the frame below
  Eigen::Vector3d normal = Eigen::Vector3d::UnitZ();    ///< unit, outward
  Eigen::Vector3d u = Eigen::Vector3d::UnitX();         ///< unit, along the longer side
  Eigen::Vector3d v = Eigen::Vector3d::UnitY();         ///< unit, along the shorter side
  double half_u_mm = 0.0, half_v_mm = 0.0;              ///< half the box
  double area_mm2 = 0.0;
};

struct FlatFaces {
  std::vector<FlatFace> faces;  ///< largest first
  Eigen::VectorXi face_of;      ///< #F triangles of the design, −1 where the surface is not flat
};

struct FlatFaceSettings {
  double flat_deg = 1.0;  ///< facets of one face turn no more than this from its first
  double least_area_mm2 = 20.0;
  double least_side_mm = 1.5;  ///< of half the shorter side and up: a facet of a round is no face
};

/// Grows flat patches from the largest triangles on. The frame follows the patch's border: its
/// direction is the mean of the border's, taken modulo a quarter turn and weighted by length.
/// @param design  welded, wound outward
[[nodiscard]] FlatFaces find_flat_faces(const Mesh& design, const FlatFaceSettings& settings = {});

/// Likewise, with neighbours over edges that are known already.
[[nodiscard]] FlatFaces find_flat_faces(const SurfaceIndex& design,
                                        const FlatFaceSettings& settings = {});

/// Two faces that look away from each other with material between: index of `front` < `back`.
struct Wall {
  int front = -1, back = -1;
  double thickness_mm = 0.0;
};

/// Walls up to `thickest_mm`: faces antiparallel to a degree, of like area (within a factor 1.6)
/// and whose middles lie across from each other.
[[nodiscard]] std::vector<Wall> find_walls(const std::vector<FlatFace>& faces, double thickest_mm);

}  // namespace trammel
