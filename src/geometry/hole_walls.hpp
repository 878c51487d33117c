#pragma once

/// The walls of round holes among the triangles near a point: what find_hole and find_holes share.

#include <Eigen/Core>
#include <limits>
#include <vector>

#include "trammel/geometry/find_hole.hpp"
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

enum class Kind { Hole, CutOff, None };

struct Finding {
  Kind kind = Kind::None;
  DesignHole hole;
  double distance_mm = std::numeric_limits<double>::infinity();
};

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

/// The axis, unit, that the normals of the patch's facets all stand across.
[[nodiscard]] Eigen::Vector3d axis_from_normals(const NearTriangles& near, const Patch& patch);

/// Vertices that tell the curve of a wall, each with the area of the patch's facets around it.
struct Corners {
  Eigen::Matrix3Xd points_mm;
  Eigen::VectorXd area_mm2;
};

/// Vertices where the patch truly bends. Those in the middle of a flat facet (left by halving
/// edges) lie inside the curve and must not pull it.
/// @param patch  ascending
[[nodiscard]] Corners corners_of(const NearTriangles& near, const Patch& patch);

/// How far corners of a wall may lie off its shape: as exact as most of them are, though not more
/// so than text keeps all of them, within what still counts as round.
/// @param off_mm     how far each lies off it, >= 0
/// @param roundness  of the radius, what still counts as round
[[nodiscard]] double wall_tolerance_mm(const NearTriangles& near, std::vector<double> off_mm,
                                       double radius_mm, double roundness);

/// Is the patch part of a round hole's wall? `wall` receives what lies on its cylinder.
[[nodiscard]] Finding examine(const NearTriangles& near, Patch patch,
                              const FindHoleSettings& settings, Patch& wall);

}  // namespace trammel::hole_walls
