#pragma once

/// Which of a region's cells its figures speak of.

#include <vector>

#include "trammel/model/inspection.hpp"

namespace trammel {

/// The cells of a region that lie outside their band, on the region's side; all of its cells where
/// none does. A region also holds what is within U of its limit around these, which may run round
/// half the part: that is no place to be shown from near.
[[nodiscard]] std::vector<Eigen::Index> cells_outside(const Inspection& inspection,
                                                      const Region& region);

/// #C: id of the region that a cell is shown as part of, by the same rule; 0 in none.
[[nodiscard]] Eigen::VectorXi shown_regions(const Inspection& inspection);

}  // namespace trammel
