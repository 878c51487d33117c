#pragma once

/// Each bad region from near, with a ruler, and the cut through it beside it.

#include <vector>

#include "trammel/report/sheet_context.hpp"
#include "trammel/report/sheet_flow.hpp"

namespace trammel {

constexpr std::size_t kMostCloseUps = 8;

/// The regions that failed, worst first, at most `kMostCloseUps`; where none failed, half as many
/// of those that are undecided.
[[nodiscard]] std::vector<const Region*> regions_close_up(const SheetContext& context);

/// A row a region: the picture with its balloon and ruler, the section with its own; then how many
/// more there are. Two regions that one picture shows alike (the whole face they lie on) share a
/// row and the picture, each with its section beside it. Nothing for a part without such regions.
void draw_close_ups(SheetFlow& flow, const SheetContext& context);

}  // namespace trammel
