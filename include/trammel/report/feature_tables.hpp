#pragma once

/// The tables of what a plan names: holes, slots, distances, forms, bolts and what they go into.

#include <cstddef>
#include <string>

#include "trammel/model/verdict.hpp"
#include "trammel/report/sheet_context.hpp"
#include "trammel/report/sheet_writer.hpp"

namespace trammel {

constexpr std::size_t kMostTableRows = 60;  ///< of a table; result.json has them all

/// Under a table, where it could not hold them all.
/// @param all   how many there are
/// @param what  " places", or nothing
void tell_of_more(SheetWriter& flow, std::size_t all, const std::string& what = "");

/// The word of an outcome in its colour.
[[nodiscard]] TableCell verdict_cell(Outcome outcome);

/// Holes, slots, distances, forms, the design's other holes and slots, whether it bolts up, and
/// where a mate's bolts stand; each only where there is something to tell.
void write_feature_tables(SheetWriter& flow, const SheetContext& context);

}  // namespace trammel
