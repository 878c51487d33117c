#pragma once

/// Which way is out, told by the points of thin sheet alone.

#include <Eigen/Core>

namespace trammel {

struct SheetSides {
  Eigen::Matrix3Xd normals;  ///< 3 × #P unit, out of the material; none where `told` is 0
  double told = 0.0;         ///< share of the points whose side follows from what lies about them
};

/// Of sheet scanned from both sides the metal lies between two parallel faces, so each tells which
/// way the other looks. Planes are those of a point's own face (own_face.hpp).
/// - A point that has a face parallel to its own squarely behind it, among the nearest 60 points,
///   and none before it, looks away from that; its neighbours on the same face have a say in it.
/// - A face of which only one side was scanned looks the way that all along its border follows from
///   told points: smoothly on, or round an edge, where one face's normal mirrored in the line to
///   the other's point is like the other's [König & Gumhold 2009, "Consistent propagation of normal
///   orientations in point clouds"].
/// - In the end each point takes the normal with which most of the told points nearby look and lie
///   on one plane with it: so do those that were not told, and all but 60,000 of a larger scan. A
///   point on no such plane, as on a rim too narrow for one, looks away from its neighbours.
/// Two thick walls with a narrow slot between them look like sheet, and are taken for it.
///
/// @param points_mm  3 × #P, tidied
/// @return `told` 0 where fewer than a tenth of the points have another face behind them
[[nodiscard]] SheetSides sides_of_sheet(const Eigen::Matrix3Xd& points_mm);

}  // namespace trammel
