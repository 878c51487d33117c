#pragma once

/// The decision rule: what one reading proves about its limits, given its uncertainty.

#include "trammel/model/verdict.hpp"

namespace trammel {

/// ISO 14253-1, uncertainty counted against whoever makes the claim:
/// pass when low + U ≤ value ≤ high − U, fail when value < low − U or value > high + U, otherwise
/// undecided. A side without a limit is ∓infinity. Whatever is NaN, and a U that is negative or
/// infinite, proves nothing: undecided.
/// @param expanded_uncertainty  U (k = 2), in the unit of the value
[[nodiscard]] Outcome decide(double value, double low, double high, double expanded_uncertainty);

/// The same with an upper limit alone.
[[nodiscard]] Outcome decide_at_most(double value, double high, double expanded_uncertainty);

/// The same with a lower limit alone.
[[nodiscard]] Outcome decide_at_least(double value, double low, double expanded_uncertainty);

/// Probability that the true value lies within the limits, for a normal distribution about the
/// reading: Φ((high − y)/u) − Φ((low − y)/u) (JCGM 106:2012, 7.4).
/// @param standard_uncertainty  u (k = 1); 0 gives 0 or 1
[[nodiscard]] double conformance_probability(double value, double low, double high,
                                             double standard_uncertainty);

}  // namespace trammel
