#pragma once

/// The plane problem of bolting up: holes that are off against bolts that stand where they stand.

#include <Eigen/Core>
#include <vector>

#include "trammel/judge/least_worst.hpp"

namespace trammel {

/// The search for the best place looks at no larger turns.
inline constexpr double kMostPatternTurn_rad = 0.1;

/// One hole and its bolt, in the plane across the holes' axis.
struct BoltedHole {
  Eigen::Vector2d hole_mm, bolt_mm;
  double slack_mm = 0.0;  ///< (width of the hole − bolt) / 2: how far apart the two may be
};

/// How the holes are moved.
struct PatternFit : PlaneMotion {
  double play_mm = 0.0;  ///< least slack that is left
};

/// The shift and turn of the holes that leave the most play at the tightest bolt:
///   max over (turn, shift) of min over i of slack_i − |R (hole_i − m) + m + shift − bolt_i|.
/// Turns up to 0.1 rad are looked at.
/// @param pattern  not empty
[[nodiscard]] PatternFit best_play(const std::vector<BoltedHole>& pattern);

struct PatternOpenings {
  PatternFit fit;
  std::vector<std::size_t> holes;           ///< ascending
  std::vector<Eigen::Vector2d> lacking_mm;  ///< from the hole towards its bolt, one a hole above
};

/// The fewest holes that must be opened so that every other keeps at least `least_play_mm`; among
/// sets of that number the one whose widest opening is least. Patterns of more than 8 holes are
/// given openings at every hole without play in the best place instead.
[[nodiscard]] PatternOpenings fewest_openings(const std::vector<BoltedHole>& pattern,
                                              double least_play_mm);

}  // namespace trammel
