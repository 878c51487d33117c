#pragma once

/// How long a millimetre is on the page.

#include "trammel/report/pdf_canvas.hpp"

namespace trammel {

/// 1, 2 or 5 times a power of ten, in mm: the shortest that is at least so long on the page, which
/// is less than 2.5 times that.
/// @param scale  points a mm, > 0
/// @param least  points
[[nodiscard]] double bar_length_mm(double scale, double least);

/// A bar with its ends ticked. @return the x of its end
double draw_bar(PdfCanvas& canvas, double x, double y, double length);

/// A ruler: a bar with a tick at every tenth or fifth of it, and its length in mm behind it.
/// @param y      of the bar
/// @param least  how long it is at least, points
/// @return the x behind its words
double draw_ruler(PdfCanvas& canvas, double x, double y, double scale, double least);

}  // namespace trammel
