#pragma once

/// Regions, holes, distances and forms as comma-separated values (RFC 4180), for a spreadsheet.

#include <string>
#include <string_view>

#include "trammel/model/inspection.hpp"

namespace trammel {

/// Lines end as RFC 4180 has them.
inline constexpr const char* kCsvLineEnd = "\r\n";

/// regions.csv: a head, then one line a region by id; mm and mm², shortest digits.
[[nodiscard]] std::string regions_csv(const Inspection& inspection);

/// holes.csv: a head, then one line a hole in the plan's order; empty where nothing was measured or
/// asked for.
[[nodiscard]] std::string holes_csv(const Inspection& inspection);

/// slots.csv: a head, then one line a slot, those of the plan in its order and then, without a
/// name, the others of the design; the turn in degrees; empty where nothing was measured or asked
/// for.
[[nodiscard]] std::string slots_csv(const Inspection& inspection);

/// distances.csv: a head, then one line a distance in the plan's order; empty where nothing was
/// measured.
[[nodiscard]] std::string distances_csv(const Inspection& inspection);

/// forms.csv: a head, then one line a flatness, parallelism, perpendicularity, angle or thickness
/// in the order of the kinds, its figures in the unit it names (mm or degrees); empty where nothing
/// was measured or has no such limit.
[[nodiscard]] std::string forms_csv(const Inspection& inspection);

/// Text as a cell: made printable, quoted, and kept from being taken for a formula: where it would
/// begin one (= + - @), an apostrophe stands in front.
[[nodiscard]] std::string csv_text(std::string_view text);

}  // namespace trammel
