#include "slot_patches.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <bitset>
#include <cmath>
#include <limits>
#include <utility>

#include "trammel/base/constants.hpp"
#include "trammel/base/linear_algebra.hpp"
#include "trammel/base/stats.hpp"

namespace trammel::slot_patches {
namespace {

using Eigen::Matrix3Xd;
using Eigen::Vector2d;
using Eigen::Vector3d;
using Eigen::VectorXd;
using hole_walls::Patch;

constexpr double kSlotLooksIn = -0.9;         // a cosine, to the way out of the gap
constexpr double kSlotRough = 0.1;            // of the radius: a first fit worth a second
constexpr double kSlotTidyTurn = 1e-4;        // components of a direction below it count as none
constexpr int kArcBins = 36, kFlatBins = 40;  // of a half circle, of a flat

/// Corners of a wall that are worth fitting to: so many tell a slot as surely as all of a fine
/// mesh.
constexpr Eigen::Index kMostSlotCorners = 600;

/// Spread over all by the golden ratio: a stride could take those of one mouth alone.
Matrix3Xd spread_over(const Matrix3Xd& all) {
  if (all.cols() <= kMostSlotCorners) return all;
  constexpr double kGolden = 0.61803398874989485;
  Matrix3Xd out(3, kMostSlotCorners);
  for (Eigen::Index i = 0; i < kMostSlotCorners; ++i) {
    const double share = std::fmod(kGolden * static_cast<double>(i), 1.0);
    out.col(i) = all.col(static_cast<Eigen::Index>(share * static_cast<double>(all.cols())));
  }
  return out;
}

/// Facets that may be a slot's wall.
struct SlotWall {
  Patch facets;       ///< ascending
  Matrix3Xd corners;  ///< that tell its curve
  Matrix3Xd to_fit;   ///< of them
};

SlotWall wall_of(const NearTriangles& near, Patch facets) {
  SlotWall wall;
  wall.corners = hole_walls::corners_of(near, facets).points_mm;
  wall.to_fit = spread_over(wall.corners);
  wall.facets = std::move(facets);
  return wall;
}

std::vector<double> slot_distances(const SlotShape& slot, const Matrix3Xd& points) {
  std::vector<double> out;
  for (Eigen::Index i = 0; i < points.cols(); ++i)
    out.push_back(distance_to(slot, points.col(i)));
  return out;
}

double root_mean_square(const std::vector<double>& values) {
  double sum = 0.0;
  for (const double value : values)
    sum += value * value;
  return std::sqrt(sum / static_cast<double>(values.size()));
}

double largest_size(const std::vector<double>& values) {
  double most = 0.0;
  for (const double value : values)
    most = std::max(most, std::abs(value));
  return most;
}

/// A slot around all corners, for one guess of its long direction.
SlotShape slot_around(const Matrix3Xd& corners, const Vector3d& axis, const Vector3d& along) {
  SlotShape slot{corners.rowwise().mean(), axis, along, 0.0, 0.0};
  Vector2d low = Vector2d::Constant(std::numeric_limits<double>::infinity()), high = -low;
  for (Eigen::Index i = 0; i < corners.cols(); ++i) {
    low = low.cwiseMin(slot.flat(corners.col(i)));
    high = high.cwiseMax(slot.flat(corners.col(i)));
  }
  const Vector2d middle = 0.5 * (low + high), half = 0.5 * (high - low);
  slot.center_mm += middle.x() * slot.along + middle.y() * slot.across();
  slot.radius_mm = half.y();
  slot.half_straight_mm = std::max(half.x() - half.y(), 0.05 * half.y());
  return slot;
}

/// Directions that the slot may run: across the largest facet, and along the corners' spread.
std::array<Vector3d, 3> long_directions(const NearTriangles& near, const Patch& patch,
                                        const Matrix3Xd& corners, const Vector3d& axis) {
  int largest = patch.front();
  for (const int f : patch)
    if (near.area_mm2[f] > near.area_mm2[largest]) largest = f;
  const Matrix3Xd arms = corners.colwise() - corners.rowwise().mean().eval();
  const Vector3d widest = symmetric_eigen_3(arms * arms.transpose()).vectors.col(2);
  const Vector3d spread = (widest - axis.dot(widest) * axis).stableNormalized();
  return {axis.cross(Vector3d(near.normals.col(largest))).stableNormalized(), spread,
          axis.cross(spread)};
}

std::optional<SlotShape> fit_wall(const NearTriangles& near, const SlotWall& wall) {
  const Matrix3Xd& corners = wall.to_fit;
  if (corners.cols() < 10) return std::nullopt;
  const Vector3d axis = hole_walls::axis_from_normals(near, wall.facets);
  std::optional<SlotShape> best;
  double least = std::numeric_limits<double>::infinity();
  for (const Vector3d& along : long_directions(near, wall.facets, corners, axis)) {
    if (!(along.norm() > 0.5)) continue;
    const auto fit = fit_slot(corners, VectorXd::Ones(corners.cols()),
                              slot_around(corners, axis, along), AxisChoice::Free);
    if (!fit) continue;
    const double off = root_mean_square(slot_distances(fit->slot, corners));
    if (off >= least) continue;
    least = off;
    best = fit->slot;
  }
  return best && least <= kSlotRough * best->radius_mm ? best : std::nullopt;
}

/// Least sum of distances, by reweighting: what little a rounded mouth adds does not pull.
std::optional<SlotShape> fit_most_of_it(const Matrix3Xd& corners, SlotShape slot) {
  for (int round = 0; round < 20; ++round) {
    VectorXd weights(corners.cols());
    for (Eigen::Index i = 0; i < weights.size(); ++i)
      weights[i] =
          1.0 / std::max(std::abs(distance_to(slot, corners.col(i))), 1e-7 * slot.radius_mm);
    weights /= weights.maxCoeff();
    const auto fit = fit_slot(corners, weights, slot, AxisChoice::Free);
    if (!fit) return std::nullopt;
    slot = fit->slot;
  }
  return slot;
}

/// Facets of the patch with every corner on the slot, or inside it by no more than the sag of a
/// facet, that look into the gap.
Patch facets_on_slot(const NearTriangles& near, const Patch& patch, const SlotShape& slot,
                     double tolerance_mm) {
  const double sag = slot.radius_mm * (1.0 - std::cos(0.5 * hole_walls::kTurnLimits_rad[2]));
  Patch out;
  for (const int f : patch) {
    bool on = true;
    for (int k = 0; on && k < 3; ++k) {
      const double distance = distance_to(slot, near.corner(f, k));
      on = distance <= tolerance_mm && distance >= -tolerance_mm - sag;
    }
    if (!on) continue;
    const Vector3d middle = (near.corner(f, 0) + near.corner(f, 1) + near.corner(f, 2)) / 3.0;
    const Vector2d out_of_gap =
        arm_from_middle_line(slot.half_straight_mm, slot.flat(middle)).normalized();
    const Vector3d outward = out_of_gap.x() * slot.along + out_of_gap.y() * slot.across();
    if (near.normals.col(f).dot(outward) < kSlotLooksIn) out.push_back(f);
  }
  return out;
}

/// What of the curve is wall.
struct WallCover {
  std::array<std::bitset<kArcBins>, 2> ends;
  std::array<std::bitset<kFlatBins>, 2> flats;
};

template <std::size_t kBins>
void mark_bins(std::bitset<kBins>& bins, double from_share, double to_share) {
  const auto from = static_cast<int>(std::floor(from_share * kBins + 1e-6));
  const auto to = static_cast<int>(std::ceil(to_share * kBins - 1e-6));
  for (int i = std::max(from, 0); i < std::min(to, static_cast<int>(kBins)); ++i)
    bins.set(static_cast<std::size_t>(i));
}

/// A facet of a flat counts for it only when it lies at the radius of the ends.
void mark_flat(WallCover& cover, const SlotShape& slot, const std::array<Vector2d, 3>& corners,
               double tolerance_mm) {
  double low = corners[0].x(), high = low;
  for (const Vector2d& corner : corners) {
    if (std::abs(std::abs(corner.y()) - slot.radius_mm) > tolerance_mm) return;
    low = std::min(low, corner.x());
    high = std::max(high, corner.x());
  }
  const double straight = 2.0 * slot.half_straight_mm;
  mark_bins(cover.flats[corners[0].y() > 0.0 ? 1 : 0], low / straight + 0.5, high / straight + 0.5);
}

void mark_ends(WallCover& cover, const SlotShape& slot, const std::array<Vector2d, 3>& corners) {
  for (const int side : {0, 1}) {
    const double sign = side == 0 ? -1.0 : 1.0;
    double low = kPi, high = -kPi, beyond = 0.0;
    for (const Vector2d& corner : corners) {
      const double x = sign * corner.x() - slot.half_straight_mm;
      beyond = std::max(beyond, x);
      const double angle = std::atan2(corner.y(), std::max(x, 0.0));
      low = std::min(low, angle);
      high = std::max(high, angle);
    }
    // A facet of the other end, seen from here, would stand for half a circle.
    if (beyond <= 1e-6 * slot.radius_mm) continue;
    mark_bins(cover.ends[static_cast<std::size_t>(side)], low / kPi + 0.5, high / kPi + 0.5);
  }
}

bool is_whole(const NearTriangles& near, const Patch& wall, const SlotShape& slot,
              const FindSlotsSettings& settings) {
  WallCover cover;
  for (const int f : wall) {
    const std::array<Vector2d, 3> corners{
        slot.flat(near.corner(f, 0)), slot.flat(near.corner(f, 1)), slot.flat(near.corner(f, 2))};
    mark_ends(cover, slot, corners);
    mark_flat(cover, slot, corners, settings.roundness * slot.radius_mm);
  }
  const auto covers = [](const auto& bins, double share) {
    return static_cast<double>(bins.count()) >= share * static_cast<double>(bins.size());
  };
  return covers(cover.ends[0], settings.least_cover) &&
         covers(cover.ends[1], settings.least_cover) &&
         covers(cover.flats[0], settings.least_flat_cover) &&
         covers(cover.flats[1], settings.least_flat_cover);
}

/// Its first component that is not nothing, in the order asked for, is positive.
Vector3d turned_by(Vector3d direction, const std::array<std::pair<int, double>, 3>& order) {
  for (const auto& [index, sign] : order) {
    if (std::abs(direction[index]) <= kSlotTidyTurn) continue;
    return sign * direction[index] > 0.0 ? direction : Vector3d(-direction);
  }
  return direction;
}

/// Whether a ray from the slot's middle meets a face of the design that looks at it, at the wall's
/// end or little beyond.
bool is_closed(const NearTriangles& near, const Vector3d& from, const Vector3d& towards,
               double reach_mm) {
  for (int f = 0; f < near.size(); ++f) {
    const Vector3d normal = near.normals.col(f);
    const double facing = normal.dot(towards);
    if (facing > -1e-9) continue;
    const double far = normal.dot(near.corner(f, 0) - from) / facing;
    if (far < 0.0 || far > reach_mm) continue;
    const Vector3d hit = from + far * towards;
    bool inside = true;
    for (int k = 0; inside && k < 3; ++k) {
      const Vector3d edge = near.corner(f, (k + 1) % 3) - near.corner(f, k);
      inside = edge.cross(hit - near.corner(f, k)).dot(normal) >= -1e-9 * edge.squaredNorm();
    }
    if (inside) return true;
  }
  return false;
}

DesignSlot slot_from(const NearTriangles& near, const Patch& wall, SlotShape shape) {
  shape.axis = turned_by(shape.axis, {{{2, 1.0}, {1, -1.0}, {0, 1.0}}});
  shape.along = turned_by(shape.along, {{{0, 1.0}, {1, 1.0}, {2, 1.0}}});
  double low = std::numeric_limits<double>::infinity(), high = -low;
  for (const int f : wall) {
    for (int k = 0; k < 3; ++k) {
      const double level = shape.axis.dot(near.corner(f, k) - shape.center_mm);
      low = std::min(low, level);
      high = std::max(high, level);
    }
  }
  shape.center_mm += 0.5 * (low + high) * shape.axis;
  DesignSlot out;
  out.shape = shape;
  out.high_mm = 0.5 * (high - low);
  out.low_mm = -out.high_mm;
  const double reach = out.high_mm + 0.5 * shape.radius_mm;
  out.open_high = !is_closed(near, shape.center_mm, shape.axis, reach);
  out.open_low = !is_closed(near, shape.center_mm, -shape.axis, reach);
  for (const int f : wall)
    out.triangles.push_back(near.origin[static_cast<std::size_t>(f)]);
  return out;
}

}  // namespace

std::optional<DesignSlot> slot_of(const NearTriangles& near, Patch patch,
                                  const FindSlotsSettings& settings) {
  std::sort(patch.begin(), patch.end());
  SlotWall wall = wall_of(near, patch);
  std::optional<SlotShape> slot = fit_wall(near, wall);
  const auto keep_within = [&](double tolerance_mm) {
    wall = wall_of(near, facets_on_slot(near, patch, *slot, tolerance_mm));
    slot = fit_wall(near, wall);
  };
  for (const double share : {0.03, 0.01, settings.roundness}) {
    if (!slot) return std::nullopt;
    keep_within(share * slot->radius_mm);
  }
  if (slot) slot = fit_most_of_it(wall.to_fit, *slot);
  if (!slot) return std::nullopt;
  std::vector<double> off = slot_distances(*slot, wall.corners);
  for (double& one : off)
    one = std::abs(one);
  keep_within(hole_walls::wall_tolerance_mm(near, off, slot->radius_mm, settings.roundness));
  if (!slot || 2.0 * slot->half_straight_mm < settings.least_straight * slot->radius_mm)
    return std::nullopt;
  const double most_off = largest_size(slot_distances(*slot, wall.corners));
  if (most_off > settings.roundness * slot->radius_mm) return std::nullopt;
  if (!is_whole(near, wall.facets, *slot, settings)) return std::nullopt;
  return slot_from(near, wall.facets, *slot);
}

}  // namespace trammel::slot_patches
