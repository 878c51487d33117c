#pragma once

/// Legend and histogram in one: bars of seen area stand on the strip of step colours.

#include "trammel/report/pdf_canvas.hpp"
#include "trammel/report/sheet_context.hpp"

namespace trammel {

/// @param box  on the page; at least 90 points high, with the axis numbers
void draw_legend(PdfCanvas& canvas, const SheetContext& context, const FlatBox& box);

/// The strip with its numbers alone, 24 points high.
void draw_legend_strip(PdfCanvas& canvas, const SheetContext& context, double x, double y,
                       double width);

}  // namespace trammel
