#pragma once

/// What the reasons of a verdict say of a region.

#include <string>

#include "trammel/model/verdict.hpp"

namespace trammel {

/// "Region 1 at (30, 20, 5) is proud by up to 1.20 mm, limit 0.50, over 100 mm²", in its zone.
[[nodiscard]] std::string region_reason(const Region& region);

/// Goes on from `region_reason`: why an undecided region is neither in nor out.
/// @param expanded_mm  U (k = 2) of one reading
[[nodiscard]] std::string why_open(const Region& region, double expanded_mm);

}  // namespace trammel
