#pragma once

/// The rim of a slot on a plane: how far points lie from it, and next to which stretch of it.

#include <Eigen/Core>
#include <algorithm>
#include <cmath>

#include "trammel/base/constants.hpp"
#include "trammel/geometry/fit_slot.hpp"

namespace trammel {

using SlotUnknowns = Eigen::Matrix<double, 5, 1>;  ///< as in SlotUnknown

inline constexpr int kStretchesAnEnd = 6;  ///< of 30°, as fit_rim has them

/// Of a point from a slot: + outside.
struct SlotDistance {
  explicit SlotDistance(const SlotUnknowns& x)
      : center(x[kSlotAlong], x[kSlotAcross]),
        along(std::cos(x[kSlotTurn]), std::sin(x[kSlotTurn])),
        radius(x[kSlotRadius]),
        half_straight(x[kSlotStraight]) {}
  [[nodiscard]] Eigen::Vector2d flat(const Eigen::Vector2d& p) const {
    const Eigen::Vector2d arm = p - center;
    return {arm.dot(along), along.x() * arm.y() - along.y() * arm.x()};
  }
  [[nodiscard]] double operator()(const Eigen::Vector2d& p) const {
    return arm_from_middle_line(half_straight, flat(p)).norm() - radius;
  }
  Eigen::Vector2d center, along;
  double radius, half_straight;
};

/// The rim of one slot, cut into stretches: right end from −90° to 90°, upper flat, left end,
/// lower flat.
class SlotStretches {
 public:
  explicit SlotStretches(const SlotUnknowns& x) : distance_(x) {
    const double straight = 2.0 * distance_.half_straight;
    const double an_end = kPi * distance_.radius / kStretchesAnEnd;
    on_flat_ = std::clamp(static_cast<int>(std::lround(straight / an_end)), 1, 60);
    an_end_mm_ = an_end;
    a_flat_mm_ = straight / on_flat_;
  }

  [[nodiscard]] int size() const { return 2 * (kStretchesAnEnd + on_flat_); }
  [[nodiscard]] bool is_of_end(int stretch) const {
    return stretch % (size() / 2) < kStretchesAnEnd;
  }
  /// 0 … 3: the ends and flats, in their order.
  [[nodiscard]] int part_of(int stretch) const {
    return 2 * (stretch / (size() / 2)) + (is_of_end(stretch) ? 0 : 1);
  }
  [[nodiscard]] double length_mm(int stretch) const {
    return is_of_end(stretch) ? an_end_mm_ : a_flat_mm_;
  }
  [[nodiscard]] const SlotDistance& distance() const { return distance_; }

  [[nodiscard]] int stretch_of(const Eigen::Vector2d& p) const {
    Eigen::Vector2d flat = distance_.flat(p);
    const double a = distance_.half_straight;
    const auto bin = [](double share, int bins) {
      return std::clamp(static_cast<int>(std::floor(share * bins)), 0, bins - 1);
    };
    // The left half is the right one turned half round.
    const bool first = std::abs(flat.x()) > a ? flat.x() > 0.0 : flat.y() > 0.0;
    if (!first) flat = -flat;
    const int start = first ? 0 : size() / 2;
    if (std::abs(flat.x()) > a)
      return start + bin(std::atan2(flat.y(), flat.x() - a) / kPi + 0.5, kStretchesAnEnd);
    return start + kStretchesAnEnd + bin(0.5 - 0.5 * flat.x() / a, on_flat_);
  }

  /// A place of the rim, at a share of a stretch.
  [[nodiscard]] Eigen::Vector2d place(int stretch, double share) const {
    const double r = distance_.radius, a = distance_.half_straight;
    const int within = stretch % (size() / 2);
    Eigen::Vector2d flat(a, 0.0);
    if (is_of_end(stretch)) {
      const double angle = ((within + share) / kStretchesAnEnd - 0.5) * kPi;
      flat += r * Eigen::Vector2d(std::cos(angle), std::sin(angle));
    } else {
      flat = {a - (within - kStretchesAnEnd + share) * a_flat_mm_, r};
    }
    if (stretch >= size() / 2) flat = -flat;
    const Eigen::Vector2d across(-distance_.along.y(), distance_.along.x());
    return distance_.center + flat.x() * distance_.along + flat.y() * across;
  }

 private:
  SlotDistance distance_;
  int on_flat_ = 1;
  double an_end_mm_ = 0.0, a_flat_mm_ = 0.0;
};

}  // namespace trammel
