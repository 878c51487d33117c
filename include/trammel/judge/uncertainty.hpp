#pragma once

/// U of one reading, and the figures that describe all readings.

#include "trammel/model/alignment.hpp"
#include "trammel/model/deviations.hpp"
#include "trammel/model/plan.hpp"
#include "trammel/model/surface_map.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// The plan's U when it gives one. Otherwise U = 2 √(noise² + alignment² + coating²) (GUM, JCGM
/// 100, independent inputs, k = 2) with
/// - noise: robust sigma of readings about the median of their cell's surroundings,
/// - alignment: its 1 σ at the worst corner of the part, and for a round design what its facets
/// make
///   of a turn about its axis, which is not known, as the half-width of a rectangular distribution
///   (with the plan's U as well),
/// - coating: the spray's thickness is taken off, half of it counts as the half-width of a
/// rectangular
///   distribution (common practice, no source: sprays are seldom even),
/// and never below 0.002 mm. A scanner's own bias cannot be seen in one scan: a plan with the
/// scanner's stated uncertainty is the better source.
[[nodiscard]] UncertaintyBudget uncertainty_of(const Plan& plan, const Alignment& alignment,
                                               const Deviations& deviations,
                                               const CellReadings& readings);

/// U of one reading against others of the same scan, for what does not hang on how the scan lies on
/// the design: the plan's, or as above without the alignment.
[[nodiscard]] double uncertainty_within_scan_mm(const UncertaintyBudget& budget);

/// Over the points that were Measured; quantiles of type 7 (Hyndman & Fan 1996).
[[nodiscard]] DeviationSummary summary_of(const Deviations& deviations);

}  // namespace trammel
