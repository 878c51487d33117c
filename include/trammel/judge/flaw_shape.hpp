#pragma once

/// How a flaw of one kind moves the surface: linear shapes that a deviation is broken down into.

#include <Eigen/Core>
#include <vector>

#include "trammel/geometry/flat_faces.hpp"
#include "trammel/model/flaw.hpp"

namespace trammel {

/// A place on the design's surface.
struct SurfacePlace {
  Eigen::Vector3d place_mm, normal;
  int face = -1;  ///< index of its flat face, −1 on the rest
};

/// One explanation to try. For faces the shapes are, with u, v from −1 to 1 over the face's box,
///   offset 1 · lean 1, u, v · twist 1, u, v, uv · bow 1, u, v and u² or v² or both:
/// an explanation holds the simpler ones, so that the choice between them is one of size.
struct FlawShape {
  FlawKind kind = FlawKind::Offset;
  int face = -1;          ///< the face that moves, −1 for the whole part
  int back = -1;          ///< the other face of its wall, which moves the other way; −1 for none
  std::vector<int> axes;  ///< of a shrink: the axes that have a factor of their own; empty: one
                          ///< factor for all
  bool bow_u = false, bow_v = false;  ///< of a bow

  /// Number of its unknowns.
  [[nodiscard]] int size() const;
};

/// Deviation that one unit of each unknown makes at a place; `shape.size()` numbers. The unknowns
/// of a shrink are factors minus 1 about `origin_mm`, all others are mm.
[[nodiscard]] Eigen::VectorXd shape_at(const FlawShape& shape, const std::vector<FlatFace>& faces,
                                       const Eigen::Vector3d& origin_mm, const SurfacePlace& at);

/// Deviation that a small motion of the scan makes: turns about X, Y, Z through `origin_mm`, then
/// moves along them; the pose may have been pulled by the flaw and is found again with it.
[[nodiscard]] Eigen::VectorXd motion_at(const Eigen::Vector3d& origin_mm, const SurfacePlace& at);

/// All explanations worth trying: shrink of the whole and along one, two or three axes, skin, and
/// every form of the faces that `tried` names and of the walls they belong to.
[[nodiscard]] std::vector<FlawShape> possible_shapes(const std::vector<Wall>& walls,
                                                     const std::vector<int>& tried);

/// Moves of walls as they are: each off its place, or leaning.
[[nodiscard]] std::vector<FlawShape> moves_of_walls(const std::vector<Wall>& walls);

}  // namespace trammel
