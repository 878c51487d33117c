#pragma once

/// How the sheet speaks of slots.

#include <string>
#include <vector>

#include "trammel/report/findings.hpp"

namespace trammel {

/// What is wrong with one that fails or is open: "sits 0.52 mm towards +X", "is turned by 2.10°",
/// "is too narrow: 7.61 mm", "is missing", "could not be measured", "cannot be decided".
[[nodiscard]] std::string slot_fault(const SlotResult& slot, const SlotCheck* check, int decimals);

/// How it was found: "Position 1.04 against 0.50; width 8.02 (7.90 to 8.20); length 20.10." "Not
/// measured." where it was not.
[[nodiscard]] std::string slot_figures(const SlotResult& slot, const SlotCheck* check,
                                       int decimals);

/// @param index  into verdict.slots
[[nodiscard]] Finding slot_finding(const Inspection& inspection, std::size_t index);

/// "slot left and slot right", six at most.
[[nodiscard]] std::string slot_names(const std::vector<SlotResult>& slots);

}  // namespace trammel
