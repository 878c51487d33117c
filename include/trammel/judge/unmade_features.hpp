#pragma once

/// What the design has and the part has not, told once: which shy regions are the rest of a face
/// beside them, how large what is not there is, and which regions are of one such piece.

#include <Eigen/Core>
#include <vector>

#include "trammel/judge/missing_places.hpp"

namespace trammel {

/// Of regions that fail, after `tell_missing`:
/// - a shy one over which the scanned surface is that of a flat face beside it becomes a feature
///   that was not made: of a low boss the floor is read as the boss's top, made too low. The faces
///   beside it are looked for across surface that was not seen, and three quarters of the points
///   must lie in their planes within U, or within the limit and a quarter of how far they are off,
///   and look their way;
/// - each feature gets the box about its surface in the design and about what was scanned in its
///   place (`Region::lacks`);
/// - a shy region in the box of a larger feature is told with it (`Region::told_with`), and so is a
///   feature that it hangs together with; the box grows to hold both.
/// @param region_of_cell  #C, id or 0
/// @return the readings of cells alone (`cell_of_point` is left empty), with those of features, and
///         what else of them lies in their boxes, as missing: no form is to be fitted to them
[[nodiscard]] CellReadings tell_unmade(const MissingEvidence& evidence,
                                       const Eigen::VectorXi& region_of_cell,
                                       std::vector<Region>& regions);

/// A place within what a region that fails lacks: what was not scanned there is said already.
[[nodiscard]] bool is_of_what_lacks(const std::vector<Region>& regions,
                                    const Eigen::Vector3d& place_mm);

}  // namespace trammel
