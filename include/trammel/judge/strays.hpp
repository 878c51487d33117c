#pragma once

/// What strays make by chance: patches of a few points, in a scan that has many of them.

#include <cstddef>
#include <cstdint>
#include <vector>

#include "trammel/geometry/surface_index.hpp"
#include "trammel/judge/surface_out_of_place.hpp"

namespace trammel {

/// Strays per mm³ about the part: the lesser of the density of points in the material, which a real
/// cut raises, and of those in the first millimetre above the limits of its faces, which what is
/// left standing, bench and clamp raise. (Farther off, tidying may have taken strays away.) 0 for a
/// design with open edges, which has no inside.
/// @param inside  #P, 1: in the material, as `points_inside` has it
[[nodiscard]] double strays_per_mm3(const PlacedScan& scan, const SurfaceIndex& design,
                                    const std::vector<std::uint8_t>& inside);

/// Points of one surface lie no farther apart than so many spacings.
inline constexpr double kApartSpacings = 2.5;

/// How points are joined to patches, and how many of them are no longer chance.
struct PatchRule {
  double apart_mm = 0.0;  ///< from each other at most
  int fewest = 0;
};

/// Of `count` strays strewn evenly, those that can be reached in steps of `apart_mm` are at most as
/// many as in a branching process with a Poisson number of offspring (their total is Borel's
/// distribution), as steps that lead back to the same place are not counted twice there. The patch
/// is so large that fewer than one in a hundred scans has one by chance. Where strays lie so thick
/// that each leads to a quarter of another, steps are shortened, yet to no less than `least_mm`.
/// @param usual  the rule where there are none: its count is the least
[[nodiscard]] PatchRule patch_rule(double strays_per_mm3, std::size_t count, const PatchRule& usual,
                                   double least_mm);

}  // namespace trammel
