#pragma once

/// Where balloons stand around a picture: outside the part, never over each other nor a leader.

#include <Eigen/Core>
#include <vector>

#include "trammel/report/view.hpp"

namespace trammel {

/// A place on the part, and how wide its label makes the balloon.
struct BalloonRequest {
  Eigen::Vector2d anchor = Eigen::Vector2d::Zero();
  double half_width = 9.0;  ///< the radius for a round balloon, more for a long name
};

struct BalloonSettings {
  double radius = 9.0;  ///< half the height, and the roundness of the ends
  double gap = 6.0;     ///< between a balloon and the outline, and from balloon to balloon
};

struct Balloon {
  Eigen::Vector2d center = Eigen::Vector2d::Zero();
  double half_width = 9.0;
  Eigen::Vector2d leader_start = Eigen::Vector2d::Zero();  ///< on its rim; it ends at the anchor
  bool placed = false;  ///< false where there was no room left; the tables still list it
};

/// @param requests most important first
/// @param outline  of the part in the picture; no balloon stands in it
/// @param room     everything stays inside
/// All in the same length unit, y either way. The anchor that finds no place without touching
/// another balloon or crossing a leader goes without; the earlier ones keep theirs.
[[nodiscard]] std::vector<Balloon> place_balloons(const std::vector<BalloonRequest>& requests,
                                                  const FlatBox& outline, const FlatBox& room,
                                                  const BalloonSettings& settings = {});

/// Shortest distance from a point to a segment.
[[nodiscard]] double distance_to_segment(const Eigen::Vector2d& point, const Eigen::Vector2d& a,
                                         const Eigen::Vector2d& b);

/// Shortest distance between two segments; 0 when they meet.
[[nodiscard]] double segment_distance(const Eigen::Vector2d& a, const Eigen::Vector2d& b,
                                      const Eigen::Vector2d& c, const Eigen::Vector2d& d);

/// True when the two segments share a point.
[[nodiscard]] bool segments_meet(const Eigen::Vector2d& a, const Eigen::Vector2d& b,
                                 const Eigen::Vector2d& c, const Eigen::Vector2d& d);

}  // namespace trammel
