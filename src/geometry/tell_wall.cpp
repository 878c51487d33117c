#include "trammel/geometry/tell_wall.hpp"

#include <algorithm>
#include <cmath>
#include <vector>

#include "rim_face.hpp"
#include "trammel/geometry/fit_rim.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Matrix3Xd;
using Eigen::Vector3d;

/// The face about one end.
struct EndFace {
  RimPlace place;
  RimFace face;
  double wall_side = 1.0;  ///< the wall lies on this side of the face, along the axis
  [[nodiscard]] bool is_seen() const { return !face.points.empty(); }
};

EndFace face_about_end(const Matrix3Xd& points, const Matrix3Xd& normals, const Opening& opening,
                       bool is_high) {
  const SlotShape& shape = opening.shape;
  EndFace out;
  out.place.center_mm = shape.center_mm + (is_high ? opening.high_mm : opening.low_mm) * shape.axis;
  out.place.axis = shape.axis;
  out.place.along = shape.along;
  // A pin stands on a face that looks the way of its free end.
  out.place.looks_up = is_high || opening.kind == RoundKind::Pin;
  out.place.half_straight_mm = shape.half_straight_mm;
  out.place.reach_mm = (kRimOffset + kWidestRim + kRimLand) * shape.radius_mm;
  out.place.level_mm = std::max(1.0, 0.25 * (opening.high_mm - opening.low_mm));
  out.face = rim_face(points, normals, out.place);
  out.wall_side = is_high ? -1.0 : 1.0;
  return out;
}

enum class TellsOf { Either, Face, Nothing };  ///< what a face makes of a point

TellsOf told(const EndFace& end, const Vector3d& point) {
  const RimPlace& place = end.place;
  const Vector3d arm = point - place.center_mm;
  const Vector3d at(arm.dot(place.along), arm.dot(place.axis.cross(place.along)),
                    arm.dot(place.axis));
  if (arm_from_middle_line(place.half_straight_mm, at.head<2>()).norm() > place.reach_mm)
    return TellsOf::Nothing;
  const double beyond = end.face.above_mm(at);
  if (std::abs(beyond) > end.face.reach_mm) return TellsOf::Nothing;
  return beyond * end.wall_side > 0.0 ? TellsOf::Either : TellsOf::Face;
}

}  // namespace

PointsOfOpening tell_wall(const Matrix3Xd& points_mm, const Matrix3Xd& normals,
                          const Opening& opening) {
  PointsOfOpening out{points_mm, normals};
  std::vector<bool> either(static_cast<std::size_t>(points_mm.cols()), false);
  for (const bool is_high : {false, true}) {
    const EndFace end = face_about_end(points_mm, normals, opening, is_high);
    if (!end.is_seen()) continue;
    const Vector3d looks = end.place.looks_up ? end.place.axis : Vector3d(-end.place.axis);
    for (Index i = 0; i < points_mm.cols(); ++i) {
      const TellsOf what = told(end, points_mm.col(i));
      if (what == TellsOf::Face) out.normals.col(i) = looks;
      if (what == TellsOf::Either) either[static_cast<std::size_t>(i)] = true;
    }
  }
  std::vector<Index> kept;
  for (Index i = 0; i < points_mm.cols(); ++i)
    if (!either[static_cast<std::size_t>(i)]) kept.push_back(i);
  return {out.points_mm(Eigen::all, kept), out.normals(Eigen::all, kept)};
}

}  // namespace trammel
