#pragma once

/// Which places outside the band paper tells one by one, in its table and by its balloons.

#include <string>
#include <vector>

#include "trammel/model/verdict.hpp"

namespace trammel {

/// All that fail, and of the others the worst: a part near its limit can have a hundred specks that
/// may or may not be out, and pages of them help nobody.
/// @return indices into verdict.regions, ascending
[[nodiscard]] std::vector<std::size_t> regions_on_paper(const Verdict& verdict);

/// What the rest comes to: how many, how large together, how far off at most. Empty without a rest.
/// @param decimals  of a length in mm
[[nodiscard]] std::string rest_of_regions(const Verdict& verdict, int decimals);

/// Also when a place is not proven to be outside.
[[nodiscard]] std::string regions_heading(const Verdict& verdict);

}  // namespace trammel
