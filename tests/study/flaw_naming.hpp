#pragma once

/// Whether a planted flaw was named for what it is.

#include "study/planted_flaws.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel::test {

/// Whole parts and faces: the first flaw told is of the kind, and a shrink has the right axes.
/// Local ones also lie where they were planted. Holes: the hole's row is closed, or off by what it
/// was made off to within 0.15 mm. What is missing or too many: a region or reason speaks of that
/// place.
[[nodiscard]] bool is_named(const PlantedPart& part, const Verdict& verdict);

}  // namespace trammel::test
