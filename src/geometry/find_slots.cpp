#include "trammel/geometry/find_slots.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <array>
#include <bitset>
#include <cmath>
#include <limits>
#include <utility>

#include "hole_walls.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/linear_algebra.hpp"
#include "trammel/base/stats.hpp"
#include "trammel/geometry/near_triangles.hpp"

namespace trammel {
namespace {

using Eigen::Vector2d;
using Eigen::Vector3d;
using Eigen::VectorXd;
using hole_walls::Crease;
using hole_walls::Patch;
using hole_walls::PatchGrower;

constexpr double kSlotSameAxis = 0.9998;      // a cosine: about a degree
constexpr double kSlotLooksIn = -0.9;         // a cosine, to the way out of the gap
constexpr double kSlotRough = 0.1;            // of the radius: a first fit worth a second
constexpr double kSlotTidyTurn = 1e-4;        // components of a direction below it count as none
constexpr int kArcBins = 36, kFlatBins = 40;  // of a half circle, of a flat
/// Steps of growing patches that are worth the list, as find_holes has them.
constexpr long long kMostSlotWork = 8'000'000, kMostSlotWorkPerTriangle = 15;

/// Corners of a patch that are worth fitting to: so many tell a slot as surely as all of a fine
/// mesh.
constexpr Eigen::Index kMostSlotCorners = 600;

/// Spread over all by the golden ratio: a stride could take those of one mouth alone.
Eigen::Matrix3Xd corners_to_fit(const NearTriangles& near, const Patch& patch) {
  const Eigen::Matrix3Xd all = hole_walls::corners_of(near, patch).points_mm;
  if (all.cols() <= kMostSlotCorners) return all;
  constexpr double kGolden = 0.61803398874989485;
  Eigen::Matrix3Xd out(3, kMostSlotCorners);
  for (Eigen::Index i = 0; i < kMostSlotCorners; ++i) {
    const double share = std::fmod(kGolden * static_cast<double>(i), 1.0);
    out.col(i) = all.col(static_cast<Eigen::Index>(share * static_cast<double>(all.cols())));
  }
  return out;
}

std::vector<double> slot_distances(const SlotShape& slot, const Eigen::Matrix3Xd& points) {
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
SlotShape slot_around(const Eigen::Matrix3Xd& corners, const Vector3d& axis,
                      const Vector3d& along) {
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
                                        const Eigen::Matrix3Xd& corners, const Vector3d& axis) {
  int largest = patch.front();
  for (const int f : patch)
    if (near.area_mm2[f] > near.area_mm2[largest]) largest = f;
  const Eigen::Matrix3Xd arms = corners.colwise() - corners.rowwise().mean().eval();
  const Vector3d widest = symmetric_eigen_3(arms * arms.transpose()).vectors.col(2);
  const Vector3d spread = (widest - axis.dot(widest) * axis).stableNormalized();
  return {axis.cross(Vector3d(near.normals.col(largest))).stableNormalized(), spread,
          axis.cross(spread)};
}

std::optional<SlotShape> fit_patch(const NearTriangles& near, const Patch& patch) {
  const Eigen::Matrix3Xd corners = corners_to_fit(near, patch);
  if (corners.cols() < 10) return std::nullopt;
  const Vector3d axis = hole_walls::axis_from_normals(near, patch);
  std::optional<SlotShape> best;
  double least = std::numeric_limits<double>::infinity();
  for (const Vector3d& along : long_directions(near, patch, corners, axis)) {
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
std::optional<SlotShape> fit_most_of_it(const NearTriangles& near, const Patch& patch,
                                        SlotShape slot) {
  const Eigen::Matrix3Xd corners = corners_to_fit(near, patch);
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
    double low = kPi, high = -kPi;
    for (const Vector2d& corner : corners) {
      const double x = sign * corner.x() - slot.half_straight_mm;
      const double angle = std::atan2(corner.y(), std::max(x, 0.0));
      low = std::min(low, angle);
      high = std::max(high, angle);
    }
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

/// Is the patch the wall of a slot?
std::optional<DesignSlot> slot_of(const NearTriangles& near, Patch patch,
                                  const FindSlotsSettings& settings) {
  std::sort(patch.begin(), patch.end());
  std::optional<SlotShape> slot = fit_patch(near, patch);
  Patch wall;
  for (const double share : {0.03, 0.01, settings.roundness}) {
    if (!slot) return std::nullopt;
    wall = facets_on_slot(near, patch, *slot, share * slot->radius_mm);
    slot = wall.empty() ? std::nullopt : fit_patch(near, wall);
  }
  if (slot) slot = fit_most_of_it(near, wall, *slot);
  if (!slot) return std::nullopt;
  std::vector<double> off = slot_distances(*slot, hole_walls::corners_of(near, wall).points_mm);
  for (double& one : off)
    one = std::abs(one);
  const double radius = slot->radius_mm;
  const double tolerance =
      std::clamp(5.0 * median_of(off), 1e-4 * radius, settings.roundness * radius);
  wall = facets_on_slot(near, patch, *slot, tolerance);
  slot = wall.empty() ? std::nullopt : fit_patch(near, wall);
  if (!slot || 2.0 * slot->half_straight_mm < settings.least_straight * slot->radius_mm)
    return std::nullopt;
  off = slot_distances(*slot, hole_walls::corners_of(near, wall).points_mm);
  if (largest_size(off) > settings.roundness * slot->radius_mm) return std::nullopt;
  if (!is_whole(near, wall, *slot, settings)) return std::nullopt;
  return slot_from(near, wall, *slot);
}

class SlotFinder {
 public:
  SlotFinder(const Mesh& design, const FindSlotsSettings& settings)
      : settings_(settings),
        all_(near_triangles(design, bounding_box(design.vertices_mm).center_mm(),
                            std::numeric_limits<double>::infinity())),
        grower_(all_),
        settled_(static_cast<std::size_t>(all_.size()), 0) {
    for (Eigen::Matrix3Xd& axes : tried_)
      axes = Eigen::Matrix3Xd::Zero(3, all_.size());
  }

  FoundSlots find() {
    FoundSlots out;
    std::vector<Crease> creases = hole_walls::inward_creases(all_);
    std::stable_sort(creases.begin(), creases.end(),
                     [](const Crease& x, const Crease& y) { return x.turn_rad > y.turn_rad; });
    const long long most_work = kMostSlotWork + kMostSlotWorkPerTriangle * all_.size();
    for (const Crease& crease : creases) {
      if (settled_[static_cast<std::size_t>(crease.a)] != 0) continue;
      if (steps_ > most_work) {
        out.complete = false;
        break;
      }
      if (auto slot = slot_at(crease)) out.slots.push_back(std::move(*slot));
    }
    std::sort(out.slots.begin(), out.slots.end(), [](const DesignSlot& a, const DesignSlot& b) {
      return a.triangles.front() < b.triangles.front();
    });
    return out;
  }

 private:
  std::optional<DesignSlot> slot_at(const Crease& crease) {
    for (std::size_t limit = 0; limit < tried_.size(); ++limit) {
      if (crease.turn_rad > hole_walls::kTurnLimits_rad[limit]) continue;
      if (std::abs(tried_[limit].col(crease.a).dot(crease.axis)) > kSlotSameAxis) continue;
      Patch patch = grower_.grown(crease.a, crease.axis, hole_walls::kTurnLimits_rad[limit]);
      steps_ += static_cast<long long>(patch.size());
      for (const int f : patch)
        tried_[limit].col(f) = crease.axis;
      if (!goes_round(patch, crease.axis)) continue;
      steps_ += 100 * static_cast<long long>(patch.size());
      auto slot = slot_of(all_, std::move(patch), settings_);
      if (!slot) continue;
      for (const int f : slot->triangles)
        settle(f);
      return slot;
    }
    return std::nullopt;
  }

  /// Whether the normals of a patch turn nearly all the way about the axis.
  [[nodiscard]] bool goes_round(const Patch& patch, const Vector3d& axis) const {
    const Across axes = across(axis);
    std::vector<double> angles;
    for (const int f : patch)
      angles.push_back(
          std::atan2(all_.normals.col(f).dot(axes.v), all_.normals.col(f).dot(axes.u)));
    std::sort(angles.begin(), angles.end());
    angles.push_back(angles.front() + 2.0 * kPi);
    double widest = 0.0;
    for (std::size_t i = 1; i < angles.size(); ++i)
      widest = std::max(widest, angles[i] - angles[i - 1]);
    return 360.0 - widest / kPi * 180.0 >= settings_.least_turn_deg;
  }

  void settle(int origin) {
    const auto at = std::lower_bound(all_.origin.begin(), all_.origin.end(), origin);
    settled_[static_cast<std::size_t>(at - all_.origin.begin())] = 1;
  }

  FindSlotsSettings settings_;
  NearTriangles all_;
  PatchGrower grower_;
  std::vector<char> settled_;
  std::array<Eigen::Matrix3Xd, 3> tried_;  ///< axis that a triangle's patch was last tried with
  long long steps_ = 0;
};

}  // namespace

FoundSlots find_slots(const Mesh& design, const FindSlotsSettings& settings) {
  if (design.triangles.cols() == 0) return {};
  return SlotFinder(design, settings).find();
}

std::optional<std::size_t> nearest_slot(const std::vector<DesignSlot>& slots, const Vector3d& at_mm,
                                        double beside_mm) {
  std::optional<std::size_t> nearest;
  double least = beside_mm;
  for (std::size_t i = 0; i < slots.size(); ++i) {
    const SlotShape& slot = slots[i].shape;
    const double level = slot.axis.dot(at_mm - slot.center_mm);
    const double beyond = std::max({0.0, slots[i].low_mm - level, level - slots[i].high_mm});
    const double distance = std::hypot(beyond, std::max(0.0, distance_to(slot, at_mm)));
    if (!(distance <= least)) continue;
    if (nearest && distance >= least) continue;
    least = distance;
    nearest = i;
  }
  return nearest;
}

}  // namespace trammel
