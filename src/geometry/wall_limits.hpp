#pragma once

/// What counts as the wall of a round hole or pin: shared by those who measure it.

namespace trammel::wall_limits {

/// Sine of a wall normal out of the cross plane; chamfers have 0.71.
inline constexpr double kMostLean = 0.5;
/// Cosine between a wall normal and the way to the axis.
inline constexpr double kLeastFacing = 0.8;
/// From a circle, of its radius: what lies nearer is near the wall.
inline constexpr double kNear = 0.3;
/// Of the points near the wall: else it is no circle.
inline constexpr double kLeastOnWall = 0.6;

}  // namespace trammel::wall_limits
