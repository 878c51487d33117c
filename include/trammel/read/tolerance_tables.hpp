#pragma once

/// The tables of shared/tolerances/: general tolerances and clearance holes. The build puts the
/// files into the program.

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "trammel/model/general_tolerance.hpp"

namespace trammel {

/// The classes of one table. Values are mm, or minutes of arc (to radians) where it says so.
/// @param file  for messages
/// @throws Error Input with "file:line:column" where a key is missing or unknown, the ends of the
///         ranges do not rise, the values have another unit, or a class has not one value a range
///         ("none" or more than 0)
[[nodiscard]] std::vector<GeneralTolerance> parse_tolerance_table(std::string_view text,
                                                                  const std::string& file);

/// Diameters of the hole that a bolt goes through, mm.
struct ClearanceHole {
  double bolt_mm = 0.0;  ///< nominal diameter of the thread
  double fine_mm = 0.0, medium_mm = 0.0, coarse_mm = 0.0;
};

/// @throws Error Input as above; also where the bolts do not rise, or a hole is not wider than its
///         bolt or narrower than a finer one
[[nodiscard]] std::vector<ClearanceHole> parse_clearance_table(std::string_view text,
                                                               const std::string& file);

/// Classes c, f, m and v of ISO 2768-1, then A to D of ISO 13920.
[[nodiscard]] const std::vector<GeneralTolerance>& general_tolerances();

/// Of angles, by the shorter leg, radians: classes c, f, m and v of ISO 2768-1, then A to D of ISO
/// 13920.
[[nodiscard]] const std::vector<GeneralTolerance>& angular_tolerances();

/// Width of the zone by the longer side of the face: classes H, K and L of ISO 2768-2, then E and F
/// of ISO 13920.
[[nodiscard]] const std::vector<GeneralTolerance>& flatness_tolerances();

/// Width of the zone by the longer side of the face: classes E and F of ISO 13920. ISO 2768-2 has
/// no figures of its own for it.
[[nodiscard]] const std::vector<GeneralTolerance>& parallelism_tolerances();

/// Width of the zone by the shorter leg: classes H, K and L of ISO 2768-2.
[[nodiscard]] const std::vector<GeneralTolerance>& perpendicularity_tolerances();

/// ISO 273, M3 to M16.
[[nodiscard]] const std::vector<ClearanceHole>& clearance_holes();

/// The hole for a bolt of exactly that diameter; nothing for one that is not in the table.
[[nodiscard]] std::optional<ClearanceHole> clearance_hole(double bolt_mm);

}  // namespace trammel
