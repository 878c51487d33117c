#pragma once

/// The pages of sheet.pdf, each drawn onto pages that it adds.

#include <string>
#include <vector>

#include "trammel/report/pdf_canvas.hpp"
#include "trammel/report/sheet_context.hpp"

namespace trammel {

/// Page 1: verdict, where, what is wrong and what to do, how far and how much, what it is not.
void draw_front_page(PdfCanvas& canvas, const SheetContext& context);

/// The part from all chosen sides, with balloons and the strip of colours.
/// @return the bare pictures, one a view of the context
std::vector<Picture> draw_view_pages(PdfCanvas& canvas, const SheetContext& context);

/// Bad regions from near and cut open; regions and holes as tables; alignment, coverage,
/// uncertainty, files. As many pages as it takes.
void draw_table_pages(PdfCanvas& canvas, const SheetContext& context);

/// All pages, and the pictures of the views that were painted for them.
struct DrawnSheet {
  std::string pdf;
  std::vector<Picture> views;
};
[[nodiscard]] DrawnSheet draw_sheet(const SheetContext& context, Paper paper = Paper::A4);

}  // namespace trammel
