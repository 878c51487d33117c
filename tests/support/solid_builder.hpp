#pragma once

/// Solids put together face by face: flat polygons with holes, and the walls that join them.

#include <Eigen/Core>
#include <vector>

#include "trammel/model/mesh.hpp"

namespace trammel::test {

/// Corners of a closed polygon in space, in order; the last joins the first.
using Loop = std::vector<Eigen::Vector3d>;

/// Points of a circle around `center_mm`, counter-clockwise seen from where `axis` points to.
[[nodiscard]] Loop circle(const Eigen::Vector3d& center_mm, const Eigen::Vector3d& axis,
                          double diameter_mm, int segments);
[[nodiscard]] Loop shifted(Loop loop, const Eigen::Vector3d& by_mm);

/// Collects faces; `build` welds corners at exactly equal places. No vertex is invented, so that a
/// solid is closed when every edge of a loop is met by exactly one other face or wall.
class SolidBuilder {
 public:
  /// A flat face: the outer loop first, then its holes; the winding of loops does not matter.
  /// @param normal  unit, the way the face looks
  void face(const std::vector<Loop>& loops, const Eigen::Vector3d& normal);

  /// One quadrilateral a loop edge, between the loop and its copy moved by `sweep_mm`. Seen from
  /// outside the solid the loop runs to the right when the sweep points up.
  void wall(const Loop& loop, const Eigen::Vector3d& sweep_mm);

  /// The wall of a hole: looks to the inside of the loop instead.
  void hole_wall(Loop loop, const Eigen::Vector3d& sweep_mm);

  /// Counter-clockwise seen from outside.
  void triangle(const Eigen::Vector3d& a, const Eigen::Vector3d& b, const Eigen::Vector3d& c);

  [[nodiscard]] Mesh build() const;

 private:
  std::vector<Eigen::Vector3d> corners_mm_;  ///< three a triangle
};

/// Makes vertices at exactly equal places one; drops triangles that lose a corner by it.
[[nodiscard]] Mesh welded(const std::vector<Eigen::Vector3d>& corners_mm);

}  // namespace trammel::test
