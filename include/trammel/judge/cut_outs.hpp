#pragma once

/// What was cut away through an edge of the part that the design does not cut away: a notch, a
/// corner.

#include <Eigen/Core>
#include <vector>

#include "trammel/judge/missing_places.hpp"

namespace trammel {

/// Of shy regions that fail, after `tell_unmade`: surface that hangs together with one, of shy
/// regions or not seen, is what is gone. Cells that were read in place bound it, so that it ends
/// the pooling short of the rim, and it is its extent that is compared, not a box. It is a cut
/// where
/// - it lies on two faces that look away from each other, of like area, and on an edge across them,
///   and each such edge keeps at least half of itself: a part made too short has no notch;
/// - the points beyond the limit there look across those two faces, as the walls of a cut do, over
///   most of the way from one to the other;
/// - of these a tenth look another way than each of the edges: a face that leans, is bowed in or
///   lies too low has no wall beside what is lacking of it.
/// The largest region that fails becomes missing material with the box of it (`Region::lacks`),
/// also where the walls of a notch passed for those of a hole; the others are told with it.
/// @param region_of_cell  #C, id or 0
/// @param of_form         readings of cells; those of what is gone are marked as missing
void tell_cut_outs(const MissingEvidence& evidence, const Eigen::VectorXi& region_of_cell,
                   std::vector<Region>& regions, CellReadings& of_form);

}  // namespace trammel
