#pragma once

/// Connected patches of the design's surface that are, or may be, outside their band.

#include <Eigen/Core>
#include <vector>

#include "trammel/model/deviations.hpp"
#include "trammel/model/plan.hpp"
#include "trammel/model/surface_map.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

struct FoundRegions {
  std::vector<Region> regions;     ///< worst first; ids 1, 2, …
  Eigen::VectorXi region_of_cell;  ///< #C, id or 0
};

/// Cells whose reading is not proven to lie inside the band (beyond limit − U) are grouped over
/// shared edges, proud and shy apart. Of such a group, with A the area beyond the limit itself:
/// - fail: readings beyond limit + U over a quarter of the least area, A ≥ least area, and
/// enough scan points that say so themselves: half of those that usually lie on the least area, but
/// three at least and no more than eight. In a group of n least areas the noise has n times the
/// chance to reach so far: where readings are medians of few points, z standard errors of theirs
/// are asked for in place of U, z = √(2 ln(n / 2p)), p = 2.3 % for all of the group (bound on the
/// normal tail);
/// - undecided: as large as the least area, or perhaps so (A is known to about spacing · 2√A), but
/// not proven either way; or proven beyond the limit and bordering on so much unseen surface of the
/// same face that it may be;
/// - listed: smaller than the least area, with some part beyond the limit and three points behind
/// it;
/// - anything less is noise and makes no region.
/// A burr or a splash at an edge leaves small patches on several faces, and hardly any where it
/// stands on the edge itself. So listed patches of one kind that lie nearer to each other than
/// twice the side of the least area are one place, and one undecided region where their areas add
/// up to the least area, or where so many scan points lie beyond the limit there that they cover as
/// much. Undecided groups that nowhere reach the limit itself are joined to one region a smooth
/// face.
/// Its figures are those of region_figures.hpp.
/// @param expanded_mm  U (k = 2) of one reading
/// @param noise_mm     1 σ of single points
/// @param spacing_mm   of the scan
[[nodiscard]] FoundRegions find_regions(const Plan& plan, const SurfaceCells& cells,
                                        const CellReadings& readings, const Deviations& deviations,
                                        double expanded_mm, double noise_mm, double spacing_mm);

}  // namespace trammel
