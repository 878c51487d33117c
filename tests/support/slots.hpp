#pragma once

/// Slots: plates with them, and points on their walls as an ideal scanner would give them.

#include <Eigen/Core>
#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>
#include <vector>

#include "support/shapes.hpp"
#include "support/wall_points.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/random.hpp"

namespace trammel::test {

/// Half circles of `segments` facets to the full circle, with corners where they meet the flats.
struct PlateSlot {
  Eigen::Vector2d center_mm = Eigen::Vector2d(30, 20);
  double width_mm = 8.0, length_mm = 20.0;
  double turn_deg = 0.0;  ///< of the long direction, from x towards y
  int segments = 48;
};

inline std::vector<Eigen::Vector2d> slot_loop(const PlateSlot& slot) {
  const double turn = slot.turn_deg * kDegree, radius = 0.5 * slot.width_mm;
  const Eigen::Vector2d along(std::cos(turn), std::sin(turn)), across(-along.y(), along.x());
  std::vector<Eigen::Vector2d> loop;
  const int half = slot.segments / 2;
  for (const double side : {1.0, -1.0}) {
    for (int i = 0; i <= half; ++i) {
      const double angle = kPi * i / half;  // from +across over the end to −across
      loop.emplace_back(slot.center_mm +
                        side * ((0.5 * slot.length_mm - radius + radius * std::sin(angle)) * along +
                                radius * std::cos(angle) * across));
    }
  }
  return loop;
}

/// Plate [0, 60] × [0, 40] × [0, thickness], or of another size, with slots and round holes.
inline Mesh slotted_plate(double thickness_mm, const std::vector<PlateSlot>& slots,
                          const std::vector<PlateHole>& holes = {},
                          const Eigen::Vector2d& size_mm = {60, 40}) {
  std::vector<std::vector<Eigen::Vector2d>> loops{
      {{0, 0}, {size_mm.x(), 0}, size_mm, {0, size_mm.y()}}};
  for (const PlateSlot& slot : slots)
    loops.push_back(slot_loop(slot));
  for (const PlateHole& hole : holes) {
    auto& loop = loops.emplace_back();
    for (int i = 0; i < hole.segments; ++i) {
      const double angle = -2.0 * kPi * i / hole.segments;
      loop.emplace_back(hole.center_mm +
                        0.5 * hole.diameter_mm * Eigen::Vector2d(std::cos(angle), std::sin(angle)));
    }
  }
  return extrude(loops, thickness_mm);
}

/// A round slot along z, even over its wall from z = 0 to its height; normals into the gap.
struct SlotWall {
  Eigen::Vector2d center_mm = Eigen::Vector2d::Zero();
  double turn_rad = 0.0;
  double radius_mm = 4.0, half_straight_mm = 6.0;
  double height_mm = 3.0, noise_mm = 0.0;
};

inline OrientedPoints slot_wall_of(const SlotWall& shape, int count, Rng rng) {
  OrientedPoints wall;
  wall.points_mm.resize(3, count);
  wall.normals.resize(3, count);
  const double arc = kPi * shape.radius_mm, straight = 2.0 * shape.half_straight_mm;
  const Eigen::Rotation2Dd turn(shape.turn_rad);
  for (int i = 0; i < count; ++i) {
    const double place = rng.uniform(0.0, 2.0 * (arc + straight));
    const double side = place < arc + straight ? 1.0 : -1.0;
    const double on = std::fmod(place, arc + straight);
    Eigen::Vector2d outward(0.0, 1.0), flat(0.0, shape.radius_mm);
    if (on < arc) {
      const double angle = on / shape.radius_mm - 0.5 * kPi;
      outward = {std::cos(angle), std::sin(angle)};
      flat = shape.radius_mm * outward + Eigen::Vector2d(shape.half_straight_mm, 0.0);
    } else {
      flat.x() = on - arc - shape.half_straight_mm;
    }
    flat = turn * (side * flat + shape.noise_mm * rng.normal() * side * outward);
    outward = turn * (side * outward);
    const Eigen::Vector2d at = shape.center_mm + flat;
    wall.points_mm.col(i) << at.x(), at.y(), shape.height_mm * rng.uniform();
    wall.normals.col(i) << -outward.x(), -outward.y(), 0.0;
  }
  return wall;
}

}  // namespace trammel::test
