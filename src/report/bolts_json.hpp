#pragma once

/// Groups of bolts and the mating scans that they are held against, as JSON.

#include <nlohmann/json.hpp>
#include <vector>

#include "trammel/model/mate.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// A list in the order of `verdict.bolt_ups`; figures in mm, turns in radians. Of a group that
/// could not be told of together there is no play: U is 0 then.
[[nodiscard]] nlohmann::ordered_json bolt_ups_json(const Verdict& verdict);

/// Holes in the mate's own frame, mm.
[[nodiscard]] nlohmann::ordered_json mates_json(const std::vector<Mate>& mates);

}  // namespace trammel
