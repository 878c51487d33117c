#pragma once

/// The walls of round holes among the triangles near a point: what find_hole and find_holes share.

#include <Eigen/Core>
#include <limits>
#include <vector>

#include "trammel/geometry/find_hole.hpp"
#include "trammel/geometry/near_triangles.hpp"
#include "wall_patches.hpp"

namespace trammel::hole_walls {

enum class Kind { Hole, CutOff, None };

struct Finding {
  Kind kind = Kind::None;
  DesignHole hole;
  double distance_mm = std::numeric_limits<double>::infinity();
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
