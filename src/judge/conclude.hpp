#pragma once

/// How judging a hole and judging a slot say what they found.

#include <algorithm>
#include <string>
#include <utility>

#include "trammel/base/numbers.hpp"
#include "trammel/judge/decide.hpp"
#include "trammel/model/alignment.hpp"
#include "trammel/model/plan.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel::conclusions {

inline constexpr const char* kAcross = "a scanned surface lies across it";
inline constexpr const char* kNotThrough =
    "a scanned surface lies across it: it may not go all the way";

inline std::string mm(double value) {
  return fixed(value, 2) + " mm";
}

/// Adds one finding to the result: the worse outcome stays, with every reason that is not a pass.
template <class Result>
void conclude(Result& result, Outcome outcome, std::string reason) {
  result.outcome = worse(result.outcome, outcome);
  if (outcome == Outcome::Fail || outcome == Outcome::Undecided) {
    result.reasons.push_back(std::move(reason));
  }
}

template <class Result>
[[nodiscard]] Result undecided(Result result, std::string reason) {
  result.outcome = Outcome::Undecided;
  result.reasons.push_back(std::move(reason));
  return result;
}

/// "… is more than …" for a proven fail, "… is too near to …" for what is undecided: of
/// a limit within U of nothing no value is known to keep it.
inline std::string against_limit(const std::string& what, double value, const char* relation,
                                 double limit, double uncertainty, Outcome outcome) {
  if (outcome == Outcome::Fail) return what + " " + mm(value) + " is " + relation + " " + mm(limit);
  if (uncertainty > limit) {
    return what + " " + mm(value) + " cannot be told from the limit " + mm(limit) +
           ": the uncertainty " + mm(uncertainty) + " is larger than it";
  }
  return what + " " + mm(value) + " is too near to the limit " + mm(limit) +
         " to tell (uncertainty " + mm(uncertainty) + ")";
}

/// The least likely of what is asked.
template <class Result>
void note_conformity(Result& result, double value, const Limits& limits,
                     double expanded_uncertainty) {
  const double probability =
      conformance_probability(value, limits.low_mm, limits.high_mm, 0.5 * expanded_uncertainty);
  result.conformity = std::min(result.conformity.value_or(1.0), probability);
}

/// A size against its limits.
template <class Result>
void judge_size(Result& result, const std::string& what, double value, const Limits& limits,
                double uncertainty_mm) {
  note_conformity(result, value, limits, uncertainty_mm);
  const Outcome outcome = decide(value, limits.low_mm, limits.high_mm, uncertainty_mm);
  const bool below = value - limits.low_mm < limits.high_mm - value;
  conclude(result, outcome,
           against_limit(what, value, below ? "less than" : "more than",
                         below ? limits.low_mm : limits.high_mm, uncertainty_mm, outcome));
}

/// Why no place in the scan can be trusted; empty when it can.
/// @param what  "hole" or "slot"
inline std::string doubt_of_place(const Alignment& alignment, const std::string& what) {
  if (!alignment.found || !alignment.converged) {
    return "the scan could not be set on the design, so it is not known where this " + what + " is";
  }
  if (alignment.ambiguous) {
    return "the scan fits the design in more than one way, so it is not known which " + what +
           " this is";
  }
  return {};
}

}  // namespace trammel::conclusions
