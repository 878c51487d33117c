#pragma once

/// A view of the part with everything on it: picture, rings round the holes, balloons, axes.

#include <string>
#include <vector>

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

/// Something that a balloon points at.
struct ViewMark {
  std::string label;
  Rgb colour;
  Eigen::Vector2d anchor_mm;  ///< in the view's plane
};

/// Findings that the view shows, worst first, then the good holes and slots.
/// @param outline  of the part in the view
[[nodiscard]] std::vector<ViewMark> marks_in(const SheetContext& context, const View& view,
                                             const FlatBox& outline, std::size_t most);

/// Draws it as large as the room allows. Balloons stand outside the part.
/// @return the picture without what was drawn over it
Picture draw_view(PdfCanvas& canvas, const SheetContext& context, const View& view,
                  const ViewFigure& figure);

}  // namespace trammel
