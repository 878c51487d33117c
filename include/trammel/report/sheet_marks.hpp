#pragma once

/// The small things that recur on a sheet: marks, balloons, headings, page edges.

#include <string>

#include "trammel/report/pdf_canvas.hpp"
#include "trammel/report/sheet_context.hpp"

namespace trammel {

constexpr double kMargin = 36.0;
/// Where words end on the right, and how wide a line may be.
[[nodiscard]] double text_right(const PdfCanvas& canvas);
[[nodiscard]] double full_width(const PdfCanvas& canvas);
/// Baseline of the footer, and the border below which nothing else goes.
[[nodiscard]] double footer_y(const PdfCanvas& canvas);
[[nodiscard]] double text_bottom(const PdfCanvas& canvas);

constexpr double kBodySize = 8.2;
constexpr double kSmallSize = 7.2;
constexpr double kHeadingSize = 9.0;
constexpr double kBalloonRadius = 9.0;

/// Disc with a tick, octagon with a cross, diamond with a question mark: never colour alone.
void draw_verdict_mark(PdfCanvas& canvas, Outcome outcome, double x, double y, double radius);

/// Half the width that a label makes a balloon; the radius for one or two letters.
[[nodiscard]] double balloon_half_width(const PdfCanvas& canvas, const std::string& label);

/// A round or pill-shaped balloon with its label, centred at (x, y).
void draw_balloon(PdfCanvas& canvas, double x, double y, const std::string& label, Rgb colour);

/// Regions and good holes in ink, failed holes red, undecided ones ochre.
[[nodiscard]] Rgb balloon_colour(bool is_opening, Outcome outcome);

/// Bold, second ink.
void draw_heading(PdfCanvas& canvas, double x, double baseline_y, const std::string& words);

void draw_rule(PdfCanvas& canvas, double y);

/// Title and verdict in one line over pages after the first; returns the y below it.
double draw_page_head(PdfCanvas& canvas, const SheetContext& context);

/// Version, decision rule, hashes and "2 / 3" under every page.
void draw_footers(PdfCanvas& canvas, const Inspection& inspection);

/// Wrapped lines; returns the baseline after the last one.
double draw_lines(PdfCanvas& canvas, double x, double baseline_y, const std::string& words,
                  const TextStyle& style, double width, std::size_t most_lines, double leading);

}  // namespace trammel
