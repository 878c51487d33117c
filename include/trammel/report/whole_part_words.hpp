#pragma once

/// Page 1 of the part as a whole: what went wrong with it, and whether it bolts up.

#include <vector>

#include "trammel/report/front_words.hpp"

namespace trammel {

constexpr std::size_t kFlawsOnFront = 2;

/// What went wrong with the part as a whole, the `kFlawsOnFront` flaws that explain most; often
/// empty.
[[nodiscard]] FrontColumn flaws_column(const SheetContext& context);
/// "Will it bolt up": yes and with what play, or no and which hole to open; an entry for each of
/// the two worst groups of bolts. Empty where the plan names no bolts.
[[nodiscard]] FrontColumn bolts_column(const SheetContext& context);
/// One entry for each hole that a group of bolts wants opened, by the hole's balloon.
[[nodiscard]] std::vector<FrontEntry> opening_entries(const SheetContext& context);

}  // namespace trammel
