#pragma once

#include <cstddef>

namespace trammel {

/// The least power of two that is no less than `least`: 1 for 0.
[[nodiscard]] constexpr std::size_t power_of_two_from(std::size_t least) {
  std::size_t power = 1;
  while (power < least)
    power *= 2;
  return power;
}

}  // namespace trammel
