#pragma once

/// How much a test tries: little in ./dev test, which is to end within minutes, and all of it in a
/// long run (TRAMMEL_LONG=1), as ./dev prove does.

#include <cstdlib>
#include <vector>

namespace trammel::test {

inline bool is_long_run() {
  return std::getenv("TRAMMEL_LONG") != nullptr;
}

/// @return the first `usual` of `all`, or all in a long run
template <typename T>
std::vector<T> some_of(std::vector<T> all, std::size_t usual) {
  if (!is_long_run() && usual < all.size()) {
    all.erase(all.begin() + static_cast<std::ptrdiff_t>(usual), all.end());
  }
  return all;
}

/// @return `usual`, or `all` in a long run
inline int rounds(int usual, int all) {
  return is_long_run() ? all : usual;
}

}  // namespace trammel::test
