#pragma once

/// Creases of a mesh that lean inward, and smooth pieces along one axis that are grown from them.

#include <Eigen/Core>
#include <Eigen/Geometry>
#include <cmath>
#include <vector>

#include "trammel/geometry/near_triangles.hpp"

namespace trammel::hole_walls {

using Patch = std::vector<int>;  ///< triangles of a NearTriangles

/// Edges that a patch grows over turn no more than one of these, tried in this order: 24, 12 and 8
/// facets a circle.
extern const double kTurnLimits_rad[3];

/// An edge over which two facets lean towards each other.
struct Crease {
  int a, b;            ///< triangles
  double distance_mm;  ///< from the point asked for
  double turn_rad;
  Eigen::Vector3d axis;  ///< unit, along the edge if both are facets of a cylinder
};

/// Facets of an unstructured mesh of a cylinder lean along its axis a little: 10° are let through.
inline constexpr double kMostLean = 0.17;
/// Below it two facets are one flat one, read from floats.
inline constexpr double kLeastCrease_rad = 1e-4;

/// Between the normals of two triangles, rad.
[[nodiscard]] double turn_between(const NearTriangles& near, int a, int b);

enum class CreaseOrder { NearestFirst, SharpestFirst };

/// Concave edges up to the widest turn. Of those that turn alike the nearest is first, of those as
/// near the one of the lowest triangle.
[[nodiscard]] std::vector<Crease> inward_creases(const NearTriangles& near, CreaseOrder order);

/// Axes along which the same triangles are reached, from any of them, as along the one that a patch
/// was grown along.
struct SameReach {
  Eigen::Vector3d axis = Eigen::Vector3d::Zero();
  double sine = 0.0;  ///< all at an angle to it of a smaller sine
  Eigen::Vector3d mean_normal = Eigen::Vector3d::Zero();
  double cosine = 0.0;  ///< all at an angle to the mean normal of a smaller cosine
  [[nodiscard]] bool holds_along(const Eigen::Vector3d& other) const {
    return axis.cross(other).norm() < sine || std::abs(mean_normal.dot(other)) < cosine;
  }
};

/// Grows patches; keeps its marks between them, so that a patch costs no more than its size.
class PatchGrower {
 public:
  /// @param near  must outlive this
  explicit PatchGrower(const NearTriangles& near);
  /// Triangles reached from `seed` over edges that turn no more than the limit, all along the axis,
  /// in the order reached.
  [[nodiscard]] Patch grown(int seed, const Eigen::Vector3d& axis, double turn_limit_rad);
  /// Of the last patch.
  [[nodiscard]] const SameReach& same_reach() const { return same_reach_; }

 private:
  void tell_flat_reach(const Patch& patch);

  const NearTriangles& near_;
  std::vector<int> mark_;
  int round_ = 0;
  SameReach same_reach_;
};

}  // namespace trammel::hole_walls
