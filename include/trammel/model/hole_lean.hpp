#pragma once

/// A hole or pin that leans rather than sits off its place.

#include <algorithm>
#include <cmath>
#include <string>

#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// What the lean of its axis adds to its position, and takes from the width that a straight bolt
/// has; 0 where that is not known.
[[nodiscard]] inline double lean_of_position_mm(const HoleResult& hole) {
  if (!hole.position_mm || !hole.offset_mm) return 0.0;
  return std::max(0.0, *hole.position_mm - 2.0 * hole.offset_mm->norm());
}

/// Its lean makes more than half of how far its axis is off at its worst end: to move it would not
/// help.
[[nodiscard]] inline bool is_off_by_lean(const HoleResult& hole) {
  return hole.tilt_mm && lean_of_position_mm(hole) > 0.5 * hole.position_mm.value_or(0.0);
}

/// "leans 10.0°, 1.06 mm from end to end"; only where it has a tilt.
[[nodiscard]] inline std::string hole_lean_words(const HoleResult& hole) {
  const std::string much = fixed(*hole.tilt_mm, 2) + " mm from end to end";
  if (!(hole.depth_mm > 0.0)) return "leans " + much;
  return "leans " + fixed(std::atan2(*hole.tilt_mm, hole.depth_mm) / kDegree, 1) + "°, " + much;
}

}  // namespace trammel
