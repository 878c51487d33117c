#include "trammel/geometry/measure_slot.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>
#include <vector>

#include "reweighted_fit.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/random.hpp"
#include "trammel/base/stats.hpp"

namespace trammel {
namespace {

using Eigen::Index;
using Eigen::Matrix3Xd;
using Eigen::Vector2d;
using Eigen::Vector3d;
using Eigen::VectorXd;

// As shares of the design's radius, as measure_hole has them.
constexpr double kMostSlotOffset = 1.0;
constexpr double kLeastSlotRadius = 0.5, kMostSlotRadius = 1.6;
constexpr double kMostTooLong = 2.0;  // half the straight length, either way
constexpr double kMostSlotTurn_rad = 20.0 * kDegree;
constexpr double kBeyondSlotEnds = 0.25;  // of the depth: the sheet may lie a little proud or shy
constexpr double kMostSlotLean = 0.5;     // sine of a wall normal out of the cross plane
constexpr double kLeastIntoGap = 0.8;     // cosine between a wall normal and the way into the gap
constexpr double kOfFlat = 0.8, kOfEnd = 0.5;  // cosines that tell a flat's normal and an end's
constexpr int kSlotTries = 2000;
constexpr double kRoundingTilt_rad = 1e-7;  // of exact points
constexpr double kLeastOnSlot = 0.6;        // of the points near the wall: else it is no slot
constexpr double kMostSlotForm = 0.08;
constexpr std::size_t kEndBins = 9;  // of 20°
constexpr double kFlatBin = 0.35;    // of the radius: as long as 20° of an end
constexpr std::size_t kMostFlatBins = 200;
constexpr std::size_t kFewestInBin = 5;

/// Candidate wall points; `inward` is the normal seen along the design's axis, unit.
struct SlotPoints {
  Matrix3Xd points, inward;
  [[nodiscard]] Index size() const { return points.cols(); }
};

bool could_be_of_slot(const DesignSlot& slot, const Vector3d& point, const Vector3d& normal) {
  const double level = slot.shape.axis.dot(point - slot.shape.center_mm);
  const double slack = kBeyondSlotEnds * slot.depth_mm();
  if (!(level >= slot.low_mm - slack && level <= slot.high_mm + slack)) return false;
  const double farthest = (kMostSlotOffset + kMostSlotRadius) * slot.shape.radius_mm;
  if (!(distance_to(slot.shape, point) <= farthest)) return false;
  return std::abs(slot.shape.axis.dot(normal)) <= kMostSlotLean;
}

SlotPoints slot_points(const Matrix3Xd& points, const Matrix3Xd& normals, const DesignSlot& slot,
                       double coating_mm) {
  std::vector<Index> chosen;
  for (Index i = 0; i < points.cols(); ++i)
    if (could_be_of_slot(slot, points.col(i), normals.col(i))) chosen.push_back(i);
  SlotPoints out{Matrix3Xd(3, static_cast<Index>(chosen.size())),
                 Matrix3Xd(3, static_cast<Index>(chosen.size()))};
  const Vector3d axis = slot.shape.axis;
  for (Index k = 0; k < out.size(); ++k) {
    const Index i = chosen[static_cast<std::size_t>(k)];
    const Vector3d normal = normals.col(i);
    out.points.col(k) = points.col(i) - coating_mm * normal;
    out.inward.col(k) = (normal - axis.dot(normal) * axis).normalized();
  }
  return out;
}

/// On the slot within the tolerance and looking into it.
bool is_on_slot(const SlotShape& slot, const SlotPoints& wall, Index i, double tolerance_mm) {
  const Vector2d arm = arm_from_middle_line(slot.half_straight_mm, slot.flat(wall.points.col(i)));
  const double length = arm.norm();
  const Vector2d inward(wall.inward.col(i).dot(slot.along), wall.inward.col(i).dot(slot.across()));
  return std::abs(length - slot.radius_mm) <= tolerance_mm &&
         -arm.dot(inward) >= kLeastIntoGap * length;
}

/// Points by what their normals say they are: of the flats, of the ends.
struct ByPart {
  std::vector<Index> upper, lower, left, right;  ///< flats at +across and −across; ends
  [[nodiscard]] bool has_all() const {
    return !upper.empty() && !lower.empty() && !left.empty() && !right.empty();
  }
};

ByPart by_part(const SlotPoints& wall, const SlotShape& drawn) {
  ByPart out;
  for (Index i = 0; i < wall.size(); ++i) {
    const double along = wall.inward.col(i).dot(drawn.along);
    const double across = wall.inward.col(i).dot(drawn.across());
    if (across < -kOfFlat) out.upper.push_back(i);
    if (across > kOfFlat) out.lower.push_back(i);
    if (along > kOfEnd) out.left.push_back(i);
    if (along < -kOfEnd) out.right.push_back(i);
  }
  return out;
}

/// The slot that a point of each flat and of each end make, along their normals.
std::optional<SlotShape> slot_through(const SlotPoints& wall, const SlotShape& drawn,
                                      const std::array<Index, 4>& chosen) {
  const auto [upper, lower, left, right] = chosen;
  const Vector3d across = (wall.inward.col(lower) - wall.inward.col(upper)).stableNormalized();
  SlotShape out = drawn;
  out.along = across.cross(drawn.axis);
  if (!(out.along.dot(drawn.along) >= std::cos(kMostSlotTurn_rad))) return std::nullopt;
  const auto at = [&](Index i) -> Vector3d { return wall.points.col(i) - drawn.center_mm; };
  const double high = at(upper).dot(out.across()), low = at(lower).dot(out.across());
  out.radius_mm = 0.5 * (high - low);
  const auto end = [&](Index i) {
    return (at(i) + out.radius_mm * Vector3d(wall.inward.col(i))).dot(out.along);
  };
  const double from = end(left), to = end(right);
  out.half_straight_mm = 0.5 * (to - from);
  out.center_mm =
      drawn.center_mm + 0.5 * (high + low) * out.across() + 0.5 * (from + to) * out.along;
  return out;
}

bool is_possible_slot(const SlotShape& slot, const SlotShape& drawn) {
  const double radius = drawn.radius_mm;
  return drawn.flat(slot.center_mm).norm() <= kMostSlotOffset * radius &&
         slot.radius_mm >= kLeastSlotRadius * radius &&
         slot.radius_mm <= kMostSlotRadius * radius && slot.half_straight_mm > 0.0 &&
         std::abs(slot.half_straight_mm - drawn.half_straight_mm) <= kMostTooLong * radius;
}

/// The slot that most wall points lie on and look into (RANSAC; Fischler & Bolles 1981).
std::optional<SlotShape> likeliest_slot(const SlotPoints& wall, const DesignSlot& drawn,
                                        const ByPart& parts, Rng rng) {
  const double tolerance = 0.06 * drawn.shape.radius_mm;
  const Index stride = std::max<Index>(1, wall.size() / 500);
  const auto any = [&](const std::vector<Index>& of) { return of[rng.index(of.size())]; };
  std::optional<SlotShape> best;
  int most = 0;
  for (int attempt = 0; attempt < kSlotTries; ++attempt) {
    const Index upper = any(parts.upper), lower = any(parts.lower);
    const Index left = any(parts.left), right = any(parts.right);
    const auto slot = slot_through(wall, drawn.shape, {upper, lower, left, right});
    if (!slot || !is_possible_slot(*slot, drawn.shape)) continue;
    int held = 0;
    for (Index k = 0; k < wall.size(); k += stride)
      held += is_on_slot(*slot, wall, k, tolerance) ? 1 : 0;
    if (held <= most) continue;
    most = held;
    best = slot;
  }
  return best;
}

using RobustSlot = reweighted::Robust<SlotFit>;

/// A free axis where the wall is deep enough to hold it and it leans beyond doubt.
std::optional<RobustSlot> best_slot(const SlotPoints& wall, const SlotShape& start) {
  const auto distances = [&](const SlotShape& from) {
    VectorXd out = VectorXd::Constant(wall.size(), std::numeric_limits<double>::quiet_NaN());
    for (Index i = 0; i < wall.size(); ++i)
      if (is_on_slot(from, wall, i, 0.3 * from.radius_mm))
        out[i] = distance_to(from, wall.points.col(i));
    return out;
  };
  return reweighted::fit_with_surest_axis(wall.points, start, kRoundingTilt_rad, distances);
}

/// Distances of points from the slot, by stretches of its curve.
struct Stretches {
  std::vector<std::vector<double>> upper, lower, left, right;
};

/// @param of_fit  true: of the points that hold the fit; false: of all that look into the gap from
///                about the right distance, for a bulge holds no fit
Stretches stretches_of(const SlotPoints& wall, const RobustSlot& fitted, bool of_fit) {
  const SlotShape& slot = fitted.fit.slot;
  const double straight = 2.0 * slot.half_straight_mm;
  const auto count = static_cast<std::size_t>(
      std::clamp(straight / (kFlatBin * slot.radius_mm), 1.0, static_cast<double>(kMostFlatBins)));
  Stretches out;
  out.upper.resize(count);
  out.lower.resize(count);
  out.left.resize(kEndBins);
  out.right.resize(kEndBins);
  const auto bin = [](double share, std::size_t bins) {
    const auto all = static_cast<double>(bins);
    return static_cast<std::size_t>(std::clamp(share * all, 0.0, all - 1.0));
  };
  for (Index i = 0; i < wall.size(); ++i) {
    if (of_fit ? fitted.weights[i] <= 0.0 : !is_on_slot(slot, wall, i, 0.3 * slot.radius_mm)) {
      continue;
    }
    const Vector2d flat = slot.flat(wall.points.col(i));
    const double off = distance_to(slot, wall.points.col(i));
    if (std::abs(flat.x()) <= slot.half_straight_mm) {
      auto& side = flat.y() > 0.0 ? out.upper : out.lower;
      side[bin(flat.x() / straight + 0.5, count)].push_back(off);
    } else {
      const double beyond = std::abs(flat.x()) - slot.half_straight_mm;
      auto& end = flat.x() > 0.0 ? out.right : out.left;
      end[bin(std::atan2(flat.y(), beyond) / kPi + 0.5, kEndBins)].push_back(off);
    }
  }
  return out;
}

/// Median of each stretch; NaN where fewer than five points lie.
std::vector<double> medians_of(std::vector<std::vector<double>> stretches) {
  std::vector<double> out;
  for (std::vector<double>& one : stretches)
    out.push_back(one.size() < kFewestInBin ? std::numeric_limits<double>::quiet_NaN()
                                            : median_of(one));
  return out;
}

double seen_share(const std::vector<std::vector<double>>& stretches) {
  const auto seen = std::count_if(stretches.begin(), stretches.end(),
                                  [](const std::vector<double>& one) { return !one.empty(); });
  return static_cast<double>(seen) / static_cast<double>(stretches.size());
}

double least_seen_share(const Stretches& s) {
  return std::min(
      {seen_share(s.upper), seen_share(s.lower), seen_share(s.left), seen_share(s.right)});
}

bool has_slot_form(const Stretches& stretches, const RobustSlot& fitted) {
  double low = 0.0, high = 0.0;
  for (const auto* part : {&stretches.upper, &stretches.lower, &stretches.left, &stretches.right}) {
    for (const double off : medians_of(*part)) {
      if (off < low) low = off;  // false for NaN
      if (off > high) high = off;
    }
  }
  return high - low <= kMostSlotForm * fitted.fit.slot.radius_mm &&
         static_cast<double>(fitted.on_wall()) >=
             kLeastOnSlot * static_cast<double>(fitted.near_wall);
}

double narrowest_width(const Stretches& stretches, double width_mm) {
  const std::vector<double> upper = medians_of(stretches.upper),
                            lower = medians_of(stretches.lower);
  double least = width_mm;
  for (std::size_t i = 0; i < upper.size(); ++i)
    if (width_mm + upper[i] + lower[i] < least) least = width_mm + upper[i] + lower[i];
  return least;
}

MeasuredSlot no_slot(SlotStatus status, std::string reason) {
  MeasuredSlot out;
  out.status = status;
  out.reason = std::move(reason);
  return out;
}

MeasuredSlot too_few(Index count, int least) {
  return no_slot(SlotStatus::TooFewPoints, "only " + std::to_string(count) +
                                               " points lie on its wall, " + std::to_string(least) +
                                               " are needed");
}

}  // namespace

void place_against(const DesignSlot& drawn, const SlotShape& measured, MeasuredSlot& out) {
  const SlotShape& design = drawn.shape;
  const auto off_at = [&](double level_mm, double along_mm) -> Vector3d {
    const Vector3d place = design.center_mm + level_mm * design.axis + along_mm * design.along;
    const Vector3d arm = measured.center_mm + along_mm * measured.along - place;
    return arm - design.axis.dot(arm) / design.axis.dot(measured.axis) * measured.axis;
  };
  out.shape = measured;
  out.offset_mm = off_at(0.0, 0.0);
  out.shape.center_mm = design.center_mm + out.offset_mm;
  out.turn_rad = std::atan2(measured.along.dot(design.across()), measured.along.dot(design.along));
  out.worst_offset_mm = 0.0;
  for (const double level : {0.0, drawn.low_mm, drawn.high_mm})
    for (const double along : {0.0, -design.half_straight_mm, design.half_straight_mm})
      out.worst_offset_mm = std::max(out.worst_offset_mm, off_at(level, along).norm());
}

MeasuredSlot measure_slot(const Matrix3Xd& points_mm, const Matrix3Xd& normals,
                          const DesignSlot& slot, const MeasureSlotSettings& settings) {
  const SlotPoints wall = slot_points(points_mm, normals, slot, settings.coating_mm);
  if (wall.size() == 0) return no_slot(SlotStatus::Unseen, "its wall was not seen");
  if (wall.size() < settings.least_points) return too_few(wall.size(), settings.least_points);
  const ByPart parts = by_part(wall, slot.shape);
  const std::string partly = "too little of one of its ends or flats was seen";
  if (!parts.has_all()) return no_slot(SlotStatus::Unseen, partly);
  const auto start = likeliest_slot(wall, slot, parts, Rng(settings.seed));
  if (!start) return no_slot(SlotStatus::NoSlot, "no slot of about its size was seen at its place");
  const auto fitted = best_slot(wall, *start);
  if (!fitted || !is_possible_slot(fitted->fit.slot, slot.shape))
    return no_slot(SlotStatus::NoSlot, "what was seen of its wall is not that of a slot");
  if (fitted->on_wall() < settings.least_points)
    return too_few(fitted->on_wall(), settings.least_points);
  if (least_seen_share(stretches_of(wall, *fitted, true)) < settings.least_seen)
    return no_slot(SlotStatus::Unseen, partly);
  const Stretches stretches = stretches_of(wall, *fitted, false);
  if (!has_slot_form(stretches, *fitted))
    return no_slot(SlotStatus::NoSlot, "what was seen of its wall is not that of a slot");
  MeasuredSlot out;
  out.status = SlotStatus::Measured;
  place_against(slot, fitted->fit.slot, out);
  out.narrowest_mm = narrowest_width(stretches, fitted->fit.slot.width_mm());
  out.errors = slot_errors(fitted->fit.covariance, slot.shape.half_straight_mm);
  out.rms_mm = fitted->fit.rms_mm;
  out.points = static_cast<int>(fitted->on_wall());
  out.tilted = fitted->fit.tilt_error_rad > 0.0;
  return out;
}

}  // namespace trammel
