#include "trammel/geometry/measure_rim.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <functional>
#include <utility>
#include <vector>

#include "rim_face.hpp"
#include "sharpen_by_wall.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/geometry/fit_cylinder.hpp"
#include "trammel/geometry/fit_rim.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Matrix3Xd;
using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr double kMaybeLeaning = 4.0;  // standard errors
/// Where a face ends is known by counting its points: how likely a rim is to lie farther off falls
/// as exp(−√2 x), not as the normal distribution does, and is that of four normal ones here.
constexpr double kSurelyLeaning = 7.0;
/// By the wall's points, of the logarithm of a likelihood: four normal standard errors.
constexpr double kSurelyOnWall = 8.0;
/// On a circle whose centre and radius are fitted to them, where the other has no wall at all.
constexpr int kFewestForOneAlone = 8;

double square_level(const DesignHole& hole, HoleEnd end) {
  return end == HoleEnd::High ? hole.high_mm : hole.low_mm;
}

Vector3d face_direction(const DesignHole& hole, HoleEnd end) {
  return static_cast<double>(end) * hole.axis;
}

RimFace face_about(const Matrix3Xd& points, const Matrix3Xd& normals, const DesignHole& hole,
                   HoleEnd end) {
  RimPlace place;
  place.center_mm = hole.center_mm + square_level(hole, end) * hole.axis;
  place.axis = hole.axis;
  place.along = across(hole.axis).u;
  place.looks_up = end == HoleEnd::High;
  place.reach_mm = (kRimOffset + kWidestRim + kRimLand) * hole.radius_mm;
  place.level_mm = std::max(1.0, 0.25 * hole.depth_mm());
  return rim_face(points, normals, place);
}

MeasuredRim no_rim(std::string reason) {
  MeasuredRim result;
  result.reason = std::move(reason);
  return result;
}

/// One rim, or the lower and the upper one: the axis runs from one to the other, however surely.
MeasuredHole joined(const std::vector<MeasuredRim>& rims, const DesignHole& hole) {
  const MeasuredRim &low = rims.front(), &high = rims.back();
  MeasuredHole result;
  result.status = HoleStatus::Measured;
  result.rims = static_cast<int>(rims.size());
  result.offset_mm = 0.5 * (low.offset_mm + high.offset_mm);
  result.center_mm = hole.middle_mm() + result.offset_mm;
  result.worst_offset_mm = std::max(low.offset_mm.norm(), high.offset_mm.norm());
  result.diameter_mm = low.radius_mm + high.radius_mm;
  result.narrowest_mm = 2.0 * std::min(low.radius_mm, high.radius_mm);
  result.least_size_mm = result.greatest_size_mm = result.diameter_mm;
  const double share = rims.size() == 2 ? 0.5 : std::sqrt(0.5);
  result.center_error_mm = share * std::hypot(low.center_error_mm, high.center_error_mm);
  result.diameter_error_mm = 2.0 * share * std::hypot(low.radius_error_mm, high.radius_error_mm);
  result.cover_deg = std::min(low.cover_deg, high.cover_deg);
  result.points = rims.size() == 2 ? low.points + high.points : low.points;
  const Vector3d lean = high.offset_mm - low.offset_mm;
  result.tilted =
      lean.norm() > kMaybeLeaning * std::hypot(low.center_error_mm, high.center_error_mm);
  result.axis = (hole.depth_mm() * hole.axis + lean).normalized();
  return result;
}

MeasuredHole along(const Vector3d& axis, bool tilted, MeasuredHole rims) {
  rims.tilted = tilted;
  rims.axis = axis;
  return rims;
}

/// Both are the same rims bettered by the wall, along two axes: it holds no fewer points, closer.
bool wall_prefers(const MeasuredHole& one, const MeasuredHole& other, const MeasuredHole& rims) {
  const int on_wall = one.points - rims.points, of_other = other.points - rims.points;
  if (on_wall < of_other) return false;
  if (of_other == 0) return on_wall > kFewestForOneAlone;
  return (on_wall - 3) * std::log(other.rms_mm / one.rms_mm) > kSurelyOnWall;
}

/// A lean that may be there or not: up to half of it is not known of its place at either end, and
/// all of it of the width that a straight bolt has.
MeasuredHole with_doubtful_lean(MeasuredHole straight, double lean_mm) {
  straight.center_error_mm = std::hypot(straight.center_error_mm, 0.25 * lean_mm);
  straight.diameter_error_mm = std::hypot(straight.diameter_error_mm, 0.5 * lean_mm);
  return straight;
}

/// The wall, where enough of it was seen, tells whether the hole leans: gaps that chance leaves in
/// a thinly scanned face draw a rim aside by far.
MeasuredHole told_by_both(const MeasuredHole& rims, const DesignHole& hole,
                          const std::function<MeasuredHole(const MeasuredHole&)>& sharpened) {
  const MeasuredHole straight = sharpened(along(hole.axis, false, rims));
  if (rims.rims != 2) return straight;
  const MeasuredHole leaning = sharpened(along(rims.axis, true, rims));
  if (wall_prefers(leaning, straight, rims)) return leaning;
  const bool is_without_doubt = !rims.tilted && leaning.points == rims.points;
  if (is_without_doubt || wall_prefers(straight, leaning, rims)) return straight;
  const Vector3d aside = leaning.axis / leaning.axis.dot(hole.axis) - hole.axis;
  const double lean_mm = hole.depth_mm() * aside.norm();
  const bool is_sure = lean_mm > kSurelyLeaning * 2.0 * rims.center_error_mm;
  return is_sure ? leaning : with_doubtful_lean(straight, lean_mm);
}

}  // namespace

bool has_square_rim(const Mesh& design, const DesignHole& hole, HoleEnd end) {
  const Vector3d out = face_direction(hole, end);
  const auto [u, v] = across(hole.axis);
  const double level = square_level(hole, end);
  std::vector<double> angles;
  for (Index t = 0; t < design.triangles.cols(); ++t) {
    const Vector3d area = area_vector(design, t);
    if (area.dot(out) < 0.9999 * area.norm() || area.norm() <= 0.0) continue;
    for (const int corner : design.triangles.col(t)) {
      const Vector3d arm = design.vertices_mm.col(corner) - hole.center_mm;
      const Vector2d flat(arm.dot(u), arm.dot(v));
      if (std::abs(hole.axis.dot(arm) - level) > 0.01 * hole.radius_mm) continue;
      if (std::abs(flat.norm() - hole.radius_mm) > 0.01 * hole.radius_mm) continue;
      angles.push_back(std::atan2(flat.y(), flat.x()));
    }
  }
  if (angles.empty()) return false;
  std::sort(angles.begin(), angles.end());
  angles.push_back(angles.front() + 2.0 * kPi);
  for (std::size_t i = 1; i < angles.size(); ++i)
    if (angles[i] - angles[i - 1] > 0.8) return false;  // the coarsest hole has 8 corners
  return true;
}

MeasuredRim measure_rim(const Matrix3Xd& points_mm, const Matrix3Xd& normals,
                        const DesignHole& hole, HoleEnd end, const MeasureRimSettings& settings) {
  const RimFace face = face_about(points_mm, normals, hole, end);
  if (face.points.size() < static_cast<std::size_t>(kRimPoints))
    return no_rim("the face around it was not seen");
  const FittedRim rim =
      fit_rim(face.points, std::max(face.noise_mm, kLeastBlur_mm), hole.radius_mm);
  const double cover_deg = 360.0 * rim.seen_share;
  if (cover_deg < settings.least_cover_deg) {
    return no_rim("the face was seen next to only " + fixed(cover_deg, 0) + "° of its rim, " +
                  fixed(settings.least_cover_deg, 0) + "° are needed");
  }
  if (!rim.is_open) return no_rim("no rim of about its size was seen at its place");
  if (rim.points < kRimPoints) {
    return no_rim("only " + std::to_string(rim.points) + " points lie next to its rim, " +
                  std::to_string(kRimPoints) + " are needed");
  }
  MeasuredRim result;
  result.measured = true;
  const auto [u, v] = across(hole.axis);
  result.offset_mm = rim.center_mm.x() * u + rim.center_mm.y() * v;
  result.radius_mm = rim.radius_mm + settings.coating_mm;
  result.center_error_mm = rim.center_error_mm;
  result.radius_error_mm = rim.radius_error_mm;
  result.cover_deg = cover_deg;
  result.points = rim.points;
  result.noise_mm = std::max(face.noise_mm, kLeastBlur_mm);
  return result;
}

MeasuredHole measure_by_rims(const Mesh& design, const Matrix3Xd& points_mm,
                             const Matrix3Xd& normals, const DesignHole& hole,
                             const MeasureRimSettings& settings) {
  std::vector<MeasuredRim> rims;
  MeasuredHole result;
  result.reason = "neither of its rims ends square in a flat face";
  for (const HoleEnd end : {HoleEnd::Low, HoleEnd::High}) {
    if (!has_square_rim(design, hole, end)) continue;
    MeasuredRim rim = measure_rim(points_mm, normals, hole, end, settings);
    if (rim.measured) {
      rims.push_back(std::move(rim));
    } else {
      result.reason = rim.reason;
    }
  }
  if (rims.empty()) return result;
  result = joined(rims, hole);
  const double noise_mm = std::max(rims.front().noise_mm, rims.back().noise_mm);
  return told_by_both(result, hole, [&](const MeasuredHole& told) {
    return sharpened_by_wall(points_mm, normals, hole, told, noise_mm, settings.coating_mm);
  });
}

}  // namespace trammel
