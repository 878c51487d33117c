#pragma once

/// Looking at the part from far off (orthographic): directions, and from 3D to the picture's plane.

#include <Eigen/Core>
#include <string>
#include <vector>

namespace trammel {

/// Orthonormal; `right` × `up` = `towards`.
struct View {
  Eigen::Vector3d towards = Eigen::Vector3d::UnitZ();  ///< from the part to the viewer
  Eigen::Vector3d right = Eigen::Vector3d::UnitX();
  Eigen::Vector3d up = Eigen::Vector3d::UnitY();
};

/// Z points up in the picture, or Y when looking along Z.
[[nodiscard]] View view_from(const Eigen::Vector3d& towards);

/// Coordinates in the picture's plane, mm: right and up.
[[nodiscard]] Eigen::Vector2d project(const View& view, const Eigen::Vector3d& p_mm);

/// Axis-aligned box in a plane.
struct FlatBox {
  Eigen::Vector2d low = Eigen::Vector2d::Zero();
  Eigen::Vector2d high = Eigen::Vector2d::Zero();
  [[nodiscard]] double width() const { return high.x() - low.x(); }
  [[nodiscard]] double height() const { return high.y() - low.y(); }
  [[nodiscard]] Eigen::Vector2d center() const { return 0.5 * (low + high); }
};

/// The box around all projected points.
/// @param points_mm  3 × #P
[[nodiscard]] FlatBox outline_of(const View& view, const Eigen::Matrix3Xd& points_mm);

/// "from +X −Y +Z".
[[nodiscard]] std::string view_title(const View& view);

/// The 26 directions that are looked along: 8 over corners, 12 over edges, 6 square to faces.
[[nodiscard]] std::vector<View> all_views();

}  // namespace trammel
