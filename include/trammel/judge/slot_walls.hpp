#pragma once

/// What the line of a slot tells needs no line of its own: its wall, where the slot is out or is
/// not cut, is off as well.

#include <vector>

#include "trammel/model/flaw.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// The middle of the region lies in or beside the drawn wall of a slot that failed or is closed.
[[nodiscard]] bool is_told_by_slot(const Region& region, const std::vector<SlotResult>& slots);

/// The flaw is one of that wall's own faces.
[[nodiscard]] bool is_told_by_slot(const Flaw& flaw, const std::vector<SlotResult>& slots);

}  // namespace trammel
