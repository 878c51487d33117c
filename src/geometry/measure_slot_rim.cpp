#include "trammel/geometry/measure_slot_rim.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <utility>
#include <vector>

#include "rim_face.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/geometry/fit_rim.hpp"
#include "trammel/geometry/fit_slot_rim.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Matrix3Xd;
using Eigen::Vector2d;
using Eigen::Vector3d;

constexpr double kSlotSurelyLeaning = 4.0;    // standard errors
constexpr double kWidestCornerGap_rad = 0.8;  // the coarsest end has four facets
constexpr double kSameRim = 0.01;             // of the radius

double level_of(const DesignSlot& slot, HoleEnd end) {
  return end == HoleEnd::High ? slot.high_mm : slot.low_mm;
}

struct SlotRim {
  FittedSlotRim rim;
  std::string reason;  ///< why not; empty when measured
};

SlotRim slot_rim(const Matrix3Xd& points, const Matrix3Xd& normals, const DesignSlot& slot,
                 HoleEnd end, const MeasureSlotRimSettings& settings) {
  const SlotShape& drawn = slot.shape;
  RimPlace place;
  place.center_mm = drawn.center_mm + level_of(slot, end) * drawn.axis;
  place.axis = drawn.axis;
  place.along = drawn.along;
  place.looks_up = end == HoleEnd::High;
  place.half_straight_mm = drawn.half_straight_mm;
  place.reach_mm = (kRimOffset + kWidestRim + kRimLand) * drawn.radius_mm;
  place.level_mm = std::max(1.0, 0.25 * slot.depth_mm());
  const RimFace face = rim_face(points, normals, place);
  if (face.points.size() < static_cast<std::size_t>(kRimPoints))
    return {{}, "the face around it was not seen"};
  FlatSlot expected;
  expected.radius_mm = drawn.radius_mm;
  expected.half_straight_mm = drawn.half_straight_mm;
  SlotRim out{
      fit_slot_rim(face.points, std::max(face.noise_mm, kLeastBlur_mm), expected, settings.seed),
      {}};
  if (!out.rim.is_open) {
    out.reason = "no rim of about its size was seen at its place";
  } else if (out.rim.seen_share < settings.least_seen) {
    out.reason = "the face was seen next to only " + fixed(100.0 * out.rim.seen_share, 0) +
                 " % of one of its ends or flats, " + fixed(100.0 * settings.least_seen, 0) +
                 " % are needed";
  } else if (out.rim.points < kRimPoints) {
    out.reason = "only " + std::to_string(out.rim.points) + " points lie next to its rim, " +
                 std::to_string(kRimPoints) + " are needed";
  }
  return out;
}

/// One rim, or the lower and the upper one.
MeasuredSlot joined_rims(const std::vector<FittedSlotRim>& rims, const DesignSlot& slot,
                         double coating_mm) {
  const FittedSlotRim &low = rims.front(), &high = rims.back();
  const SlotShape& drawn = slot.shape;
  const auto in_space = [&](const Vector2d& flat) -> Vector3d {
    return flat.x() * drawn.along + flat.y() * drawn.across();
  };
  MeasuredSlot out;
  out.status = SlotStatus::Measured;
  out.rims = static_cast<int>(rims.size());
  out.points = rims.size() == 2 ? low.points + high.points : low.points;
  const Eigen::Matrix<double, 5, 5> covariance =
      (rims.size() == 2 ? 0.25 : 0.5) * (low.covariance + high.covariance);
  out.errors = slot_errors(covariance, drawn.half_straight_mm);
  const Vector3d lean = in_space(high.slot.center_mm - low.slot.center_mm);
  const double surely =
      std::sqrt((low.covariance + high.covariance).topLeftCorner<2, 2>().diagonal().maxCoeff());
  out.tilted = rims.size() == 2 && lean.norm() > kSlotSurelyLeaning * surely;
  SlotShape shape = drawn;
  if (out.tilted) shape.axis = (slot.depth_mm() * drawn.axis + lean).normalized();
  const double turn = 0.5 * (low.slot.turn_rad + high.slot.turn_rad);
  const Vector3d along = in_space({std::cos(turn), std::sin(turn)});
  shape.along = (along - shape.axis.dot(along) * shape.axis).normalized();
  shape.center_mm += in_space(0.5 * (low.slot.center_mm + high.slot.center_mm));
  shape.radius_mm = 0.5 * (low.slot.radius_mm + high.slot.radius_mm) + coating_mm;
  shape.half_straight_mm = 0.5 * (low.slot.half_straight_mm + high.slot.half_straight_mm);
  place_against(slot, shape, out);
  out.narrowest_mm = 2.0 * (std::min(low.slot.radius_mm, high.slot.radius_mm) + coating_mm);
  return out;
}

}  // namespace

bool has_square_rim(const Mesh& design, const DesignSlot& slot, HoleEnd end) {
  const SlotShape& shape = slot.shape;
  const Vector3d out = static_cast<double>(end) * shape.axis;
  const double level = level_of(slot, end), same = kSameRim * shape.radius_mm;
  std::array<std::vector<double>, 2> angles;  // about the centres of the ends
  for (Index t = 0; t < design.triangles.cols(); ++t) {
    const Vector3d area = area_vector(design, t);
    if (area.dot(out) < 0.9999 * area.norm() || area.norm() <= 0.0) continue;
    for (const int corner : design.triangles.col(t)) {
      const Vector3d place = design.vertices_mm.col(corner);
      if (std::abs(shape.axis.dot(place - shape.center_mm) - level) > same) continue;
      if (std::abs(distance_to(shape, place)) > same) continue;
      const Vector2d flat = shape.flat(place);
      if (std::abs(flat.x()) < shape.half_straight_mm - same) continue;
      angles[flat.x() > 0.0 ? 1 : 0].push_back(
          std::atan2(flat.y(), std::max(0.0, std::abs(flat.x()) - shape.half_straight_mm)));
    }
  }
  for (std::vector<double>& end_angles : angles) {
    end_angles.push_back(-0.5 * kPi - 0.1);  // both flats begin at a corner
    end_angles.push_back(0.5 * kPi + 0.1);
    std::sort(end_angles.begin(), end_angles.end());
    for (std::size_t i = 1; i < end_angles.size(); ++i)
      if (end_angles[i] - end_angles[i - 1] > kWidestCornerGap_rad) return false;
  }
  return true;
}

MeasuredSlot measure_slot_by_rims(const Mesh& design, const Matrix3Xd& points_mm,
                                  const Matrix3Xd& normals, const DesignSlot& slot,
                                  const MeasureSlotRimSettings& settings) {
  std::vector<FittedSlotRim> rims;
  MeasuredSlot out;
  out.reason = "neither of its rims ends square in a flat face";
  for (const HoleEnd end : {HoleEnd::Low, HoleEnd::High}) {
    if (!has_square_rim(design, slot, end)) continue;
    const SlotRim found = slot_rim(points_mm, normals, slot, end, settings);
    if (found.reason.empty())
      rims.push_back(found.rim);
    else
      out.reason = found.reason;
  }
  return rims.empty() ? out : joined_rims(rims, slot, settings.coating_mm);
}

}  // namespace trammel
