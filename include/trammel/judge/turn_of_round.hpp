#pragma once

/// Of a round design no scan tells how far it is turned about its axis (align/round_design.hpp).

#include <string>
#include <vector>

#include "trammel/geometry/surface_cells.hpp"
#include "trammel/model/alignment.hpp"
#include "trammel/model/plan.hpp"

namespace trammel {

/// Names of the plan's zones that a turn about the axis does not lay on themselves: what is asked
/// in them hangs on a turn that is not known. Of the cells that a zone holds before or after a turn
/// by any of 23 angles, it must hold 98 % of the area both times.
[[nodiscard]] std::vector<std::string> zones_on_one_side(const Plan& plan,
                                                         const SurfaceCells& cells,
                                                         const RoundAxis& round);

}  // namespace trammel
