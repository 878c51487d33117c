#pragma once

/// Whether points lie all around a place is told by equal sectors that hold some.

#include <algorithm>
#include <cmath>
#include <cstddef>

#include "trammel/base/constants.hpp"

namespace trammel {

/// Which of `sectors` equal ones, counted from −π, the arm (x, y) lies in: 0 to sectors − 1.
[[nodiscard]] inline std::size_t sector_of(double x, double y, int sectors) {
  const double turn = std::atan2(y, x) / (2.0 * kPi) + 0.5;
  return static_cast<std::size_t>(std::min(sectors - 1, static_cast<int>(turn * sectors)));
}

}  // namespace trammel
