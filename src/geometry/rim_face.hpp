#pragma once

/// The scanned face about the rim of a hole or slot: what measure_rim and measure_slot_rim share.

#include <Eigen/Core>
#include <vector>

namespace trammel {

inline constexpr double kLeastBlur_mm = 0.02;  ///< no rim is sharper, 1 σ
inline constexpr int kRimPoints = 30;          ///< fewer show no face, or no rim

/// Where the rim is drawn.
struct RimPlace {
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();  ///< level with the face
  Eigen::Vector3d axis = Eigen::Vector3d::UnitZ();      ///< unit
  Eigen::Vector3d along = Eigen::Vector3d::UnitX();     ///< unit, a slot's long direction
  bool looks_up = true;                                 ///< the face looks along the axis
  double half_straight_mm = 0.0;                        ///< of a slot
  double reach_mm = 0.0;                                ///< from the slot's middle line
  double level_mm = 1.0;  ///< the scanned face may lie so much off the drawn one
};

struct RimFace {
  std::vector<Eigen::Vector2d> points;  ///< (along, axis × along), from the drawn centre
  double noise_mm = 0.0;                ///< about the face's own plane
  double reach_mm = 0.0;                ///< from the plane, within which points are level with it
  Eigen::Vector3d plane = Eigen::Vector3d::Zero();  ///< level = plane · (along, across, 1)

  /// Above the plane, along the axis.
  /// @param at_mm  (along, across, level) from the drawn centre
  [[nodiscard]] double above_mm(const Eigen::Vector3d& at_mm) const {
    return at_mm.z() - plane.dot(Eigen::Vector3d(at_mm.x(), at_mm.y(), 1.0));
  }
};

/// Points that lie level with the scanned face, inside the rim too. The face's plane comes from
/// points that look its way; near the rim estimated normals lean.
/// @return no points where the face was not seen
[[nodiscard]] RimFace rim_face(const Eigen::Matrix3Xd& points_mm, const Eigen::Matrix3Xd& normals,
                               const RimPlace& place);

}  // namespace trammel
