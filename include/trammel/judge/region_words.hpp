#pragma once

/// What the reasons of a verdict say of a region.

#include <string>

#include "trammel/model/verdict.hpp"

namespace trammel {

/// "Region 1 at (30, 20, 5) is proud by up to 1.20 mm, limit 0.50, over 100 mm²", in its zone; of
/// one that is missing what it is: "… is missing: what the design has there was not made, over
/// 100 mm²".
[[nodiscard]] std::string region_reason(const Region& region);

/// Goes on from `region_reason`: why an undecided region is neither in nor out.
/// @param expanded_mm  U (k = 2) of one reading
[[nodiscard]] std::string why_open(const Region& region, double expanded_mm);

/// How to make good what is missing; for a region with an absence alone.
[[nodiscard]] std::string absence_advice(const Region& region);

/// Two regions are the mouths of one hole that the design does not have.
[[nodiscard]] bool is_same_hole(const Region& a, const Region& b);

}  // namespace trammel
