#pragma once

/// Slots as JSON.

#include <nlohmann/json.hpp>
#include <vector>

#include "trammel/model/verdict.hpp"

namespace trammel {

/// A list in the order given; mm, the turn in radians. "position", "offset", "turn", "width" and
/// "length" are null where the slot was not measured.
[[nodiscard]] nlohmann::ordered_json slots_json(const std::vector<SlotResult>& slots);

}  // namespace trammel
