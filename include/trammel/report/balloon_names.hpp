#pragma once

/// What stands in the balloon of a hole, pin or slot: its name, short, and never what another
/// balloon says.

#include <string>
#include <vector>

#include "trammel/model/verdict.hpp"

namespace trammel {

/// In the order of the verdict's holes and slots.
struct BalloonNames {
  std::vector<std::string> holes, slots;
};

/// A name that is too long keeps its beginning and its last words; where several would then read
/// the same, they keep what tells them apart. A bare number gets the word for what it names, as
/// regions go by numbers. Printable.
[[nodiscard]] BalloonNames balloon_names(const Verdict& verdict);

/// The same for any names; as many as are given, no two alike.
[[nodiscard]] std::vector<std::string> short_names(const std::vector<std::string>& names);

/// How wide a text is, roughly and in any font, in letters n.
[[nodiscard]] double letters_wide(const std::string& text);

}  // namespace trammel
