#pragma once

/// What to do about it, most useful first; only what the figures carry.

#include <string>
#include <vector>

#include "trammel/model/alignment.hpp"
#include "trammel/model/plan.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// @param verdict      complete but for `actions`
/// @param diagonal_mm  of the design
[[nodiscard]] std::vector<std::string> advice(const Verdict& verdict, const Alignment& alignment,
                                              const Plan& plan, double diagonal_mm);

}  // namespace trammel
