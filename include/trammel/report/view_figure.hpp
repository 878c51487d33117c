#pragma once

/// A view of the part with everything on it: picture, rings round the holes, balloons, axes.

#include "trammel/report/pdf_canvas.hpp"
#include "trammel/report/sheet_context.hpp"
#include "trammel/report/view.hpp"

namespace trammel {

struct ViewFigure {
  FlatBox room;                    ///< on the page
  double dots_per_inch = 170.0;    ///< of the picture
  std::size_t most_balloons = 14;  ///< the worst; the tables list the rest
  bool words = true;               ///< says what the arrows and the hatching are
};

/// Draws it as large as the room allows. Balloons stand outside the part.
/// @return the picture without what was drawn over it
Picture draw_view(PdfCanvas& canvas, const SheetContext& context, const View& view,
                  const ViewFigure& figure);

}  // namespace trammel
