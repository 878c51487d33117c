#pragma once

/// Surface that one scan shows inside of what the other one shows: what stood there is gone.

#include <cstdint>
#include <vector>

#include "trammel/model/changes.hpp"

namespace trammel {

/// Core points of a scan, and where the other scan shows nothing that could be the same surface.
struct ShownCores {
  const CorePoints& cores;
  const std::vector<std::uint8_t>& is_only;  ///< #C
};

/// Connected core points that `bare` alone shows, of `least_area_mm2` at least, that are enclosed
/// by surface which `full` alone shows. No scanner could have seen them with that in place, so it
/// was not there: proven without knowing where the scanners stood. Needs sides.
///
/// Enclosed is a core point from which nine in ten of the directions within 45° of its normal first
/// come upon surface that `full` alone shows, from behind and within 150 mm, and before that upon
/// nothing that `bare` shows. So a table top that one scan missed encloses no floor.
/// @return in the order of their first core points; `in_old` is left true
[[nodiscard]] std::vector<OpenPlace> enclosed_surfaces_among(const ShownCores& bare,
                                                             const ShownCores& full,
                                                             const ChangeScales& scales,
                                                             double least_area_mm2);

}  // namespace trammel
