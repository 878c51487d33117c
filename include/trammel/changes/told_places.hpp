#pragma once

/// The places that one scan alone shows and the other might well have shown: what leaves two scans
/// undecided, in words.

#include <cstdint>
#include <string>
#include <vector>

#include "trammel/changes/m3c2.hpp"
#include "trammel/model/changes.hpp"

namespace trammel {

/// A scan in the old frame and its core points, and where the other shows nothing.
struct ScanShown {
  const Cloud& cloud;
  const CorePoints& cores;
  const std::vector<std::uint8_t>& is_only;  ///< #C
};

/// A place that leaves it undecided, and why.
struct ToldPlace {
  OpenPlace place;
  bool in_surface = false;  ///< what both show surrounds it
};

/// Those of either scan (open_places.hpp, lone_surfaces.hpp, places_amid.hpp), each told once, and
/// not again where a change was found. Largest first.
/// @param changes  with scales, least area, fit, and the old cores' changes
[[nodiscard]] std::vector<ToldPlace> told_places(const ScanShown& then, const ScanShown& now,
                                                 const Changes& changes, const M3c2Settings& how);

/// The largest three, a sentence each, and how many more.
[[nodiscard]] std::vector<std::string> words_of_places(const std::vector<ToldPlace>& places);

}  // namespace trammel
