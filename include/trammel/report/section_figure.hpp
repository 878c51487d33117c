#pragma once

/// The drawing of a section: grey as designed, black as scanned, strokes in the step's colour.

#include "trammel/report/pdf_canvas.hpp"
#include "trammel/report/section.hpp"
#include "trammel/report/sheet_context.hpp"

namespace trammel {

/// Height that a drawing of this width wants, with its heading.
[[nodiscard]] double section_height(const Section& section, double width);

/// Draws the heading with the factor, and the section in a thin frame below it.
void draw_section(PdfCanvas& canvas, const SheetContext& context, const Section& section,
                  const Region& region, const FlatBox& box);

}  // namespace trammel
