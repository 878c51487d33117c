#pragma once

/// What to do about it, most useful first; only what the figures carry.

#include <string>
#include <vector>

#include "trammel/model/alignment.hpp"
#include "trammel/model/plan.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// On a failed part first what its flaws ask for, then holes off their place, distances, and the
/// worst two regions that no flaw explains; on any part that does not pass, what a better scan
/// would need.
/// @param verdict  complete but for `actions`
[[nodiscard]] std::vector<std::string> advice(const Verdict& verdict, const Alignment& alignment,
                                              const Plan& plan);

}  // namespace trammel
