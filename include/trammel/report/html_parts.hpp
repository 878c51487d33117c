#pragma once

/// The pieces of sheet.html that say what page 1 of the PDF says.

#include <string>

#include "trammel/report/sheet_context.hpp"

namespace trammel {

/// Disc with a tick, octagon with a cross, diamond with a question mark, as SVG.
[[nodiscard]] std::string mark_html(Outcome outcome);

/// What went wrong and whether it bolts up, each a section of its own where there is something to
/// tell; flaws and the holes to be opened are buttons that carry their mark.
[[nodiscard]] std::string whole_part_html(const SheetContext& context);

/// What is wrong, what to do, may it be believed; findings are buttons that carry their mark.
[[nodiscard]] std::string columns_html(const SheetContext& context);

/// The first view with balloons, as one SVG: what stands there without a script or WebGL.
/// @param png  the bare picture of that view
[[nodiscard]] std::string still_html(const SheetContext& context, const std::string& png);

/// Scan, date and plan under the part's name.
[[nodiscard]] std::string origin_html(const SheetContext& context);

/// Legend and histogram in one, with a slider under either half; without a script it stands still.
[[nodiscard]] std::string legend_html(const SheetContext& context);

}  // namespace trammel
