#pragma once

/// Which unit a scan is in, from its size and the design's.

#include <string>
#include <vector>

#include "trammel/model/mesh.hpp"
#include "trammel/model/plan.hpp"
#include "trammel/model/scan.hpp"

namespace trammel {

/// Units that the sizes allow, likeliest first; never empty.
///
/// A given unit is the only one. Otherwise the sizes are compared without the outermost points
/// (strays and bench must not decide): mm, cm, m and inch are kept when the scan would then be 0.25
/// to 20 times the design's size (one side seen, or the part lying in a larger scene).
/// @throws Error Input when no unit fits, with both sizes and what to do
[[nodiscard]] std::vector<UnitChoice> plausible_units(const Scan& raw, const Mesh& design,
                                                      Unit given);

/// The same beside something else of `other_mm` across; empty when no unit fits.
/// @param other  what it is called in words: "the old scan"
[[nodiscard]] std::vector<UnitChoice> units_beside(const Scan& raw, double other_mm,
                                                   const std::string& other);

/// What an error says then: both sizes.
[[nodiscard]] std::string no_unit_fits(const Scan& raw, double other_mm, const std::string& other);

/// The scan with its coordinates in mm.
[[nodiscard]] Scan in_mm(Scan raw, const UnitChoice& unit);

/// The unit that a lone file is most likely in, from its size: for `trammel look`.
[[nodiscard]] UnitChoice guess_unit_of_lone_file(double diagonal);

/// The unit that was given, or with Auto the guess. @param diagonal  in file units
[[nodiscard]] UnitChoice unit_of_lone_file(Unit given, double diagonal);

}  // namespace trammel
