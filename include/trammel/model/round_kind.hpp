#pragma once

/// The two kinds of round feature that a plan may name.

#include <cstdint>
#include <string>

namespace trammel {

enum class RoundKind : std::uint8_t {
  Hole,  ///< the material lies around the cylinder
  Pin,   ///< within it: a locating pin, a round boss, the outside of a tube
};

[[nodiscard]] inline std::string round_word(RoundKind kind) {
  return kind == RoundKind::Pin ? "pin" : "hole";
}

}  // namespace trammel
