#include "trammel/report/section_figure.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/numbers.hpp"
#include "trammel/report/scale_bar.hpp"
#include "trammel/report/sheet_marks.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

constexpr double kInset = 26.0;        ///< free room inside the frame, for the magnified misfit
constexpr double kHeadingRoom = 15.0;  ///< above the frame
constexpr double kMostPoints = 20.0;   ///< the peak is drawn at most so long
constexpr double kRulerLength = 26.0;  ///< at least
constexpr double kStrokeEvery = 3.2;   ///< points along the design's line

/// The section on the page.
struct Drawing {
  const Section& section;
  FlatBox frame;
  double scale;      ///< points a mm
  double magnified;  ///< the misfit, beside the shape
  [[nodiscard]] Eigen::Vector2d on_page(const Eigen::Vector2d& flat_mm) const {
    const Eigen::Vector2d off = scale * (flat_mm - section.window.center());
    return {frame.center().x() + off.x(), frame.center().y() - off.y()};
  }
  [[nodiscard]] Eigen::Vector2d scanned(const Eigen::Vector2d& flat_mm,
                                        const Eigen::Vector2d& outward, double deviation) const {
    return on_page(flat_mm + magnified * deviation * outward);
  }
};

/// 1, 2 or 5 times a power of ten, at least 1, so that the peak is not too long.
double magnification(double peak_mm, double scale) {
  const double most = kMostPoints / std::max(1e-9, std::abs(peak_mm) * scale);
  double factor = 1.0;
  for (double power = 1.0; power < 1e4; power *= 10.0) {
    for (const double digit : {1.0, 2.0, 5.0}) {
      if (digit * power <= most) factor = digit * power;
    }
  }
  return factor;
}

void draw_design(PdfCanvas& canvas, const Drawing& drawing) {
  for (const SectionPiece& piece : drawing.section.pieces) {
    const Eigen::Vector2d a = drawing.on_page(piece.from), b = drawing.on_page(piece.to);
    canvas.line(a.x(), a.y(), b.x(), b.y(), {kSecondInk, 0.8});
  }
}

/// Short strokes from the design to the scan, evenly along the line.
void draw_strokes(PdfCanvas& canvas, const Band& band, const Drawing& drawing) {
  for (const SectionPiece& piece : drawing.section.pieces) {
    const double length = drawing.scale * (piece.to - piece.from).norm();
    // Pieces are short: one stroke where a multiple of the spacing, counted along the sheet, falls.
    const Eigen::Vector2d middle = drawing.on_page(0.5 * (piece.from + piece.to));
    const Eigen::Vector2d way = piece.to - piece.from;
    const bool upright = std::abs(way.y()) > std::abs(way.x());
    const double at = upright ? middle.y() : middle.x();
    const double phase = at - kStrokeEvery * std::floor(at / kStrokeEvery);
    if (phase > std::max(length, 0.01)) continue;
    const double deviation = 0.5 * (piece.from_mm + piece.to_mm);
    if (!std::isfinite(deviation)) continue;
    const Eigen::Vector2d end =
        drawing.scanned(0.5 * (piece.from + piece.to), piece.outward, deviation);
    const int step = step_of(deviation, band);
    const Rgb colour = step == 0 ? kRule : colour_of_step(step);
    canvas.line(middle.x(), middle.y(), end.x(), end.y(), {colour, 1.6});
  }
}

void draw_scanned(PdfCanvas& canvas, const Drawing& drawing) {
  for (const SectionPiece& piece : drawing.section.pieces) {
    if (!std::isfinite(piece.from_mm) || !std::isfinite(piece.to_mm)) continue;
    const Eigen::Vector2d a = drawing.scanned(piece.from, piece.outward, piece.from_mm);
    const Eigen::Vector2d b = drawing.scanned(piece.to, piece.outward, piece.to_mm);
    canvas.line(a.x(), a.y(), b.x(), b.y(), {kInk, 1.2});
  }
}

void draw_peak(PdfCanvas& canvas, const SheetContext& context, const Drawing& drawing,
               const Region& region) {
  const Section& section = drawing.section;
  const std::string words = signed_fixed(region.peak_mm, context.decimals) + " mm";
  const TextStyle style{8.5, true, kInk};
  const double width = canvas.text_width(words, style);
  const Eigen::Vector2d tip = drawing.scanned(section.peak, section.peak_outward, region.peak_mm);
  // On the side away from the material, kept inside the frame.
  const bool to_the_right = section.peak_outward.x() >= -0.3;
  const double x = std::clamp(to_the_right ? tip.x() + 6.0 : tip.x() - 6.0 - width,
                              drawing.frame.low.x() + 4.0, drawing.frame.high.x() - 4.0 - width);
  const double above = section.peak_outward.y() > 0.3    ? -6.0
                       : section.peak_outward.y() < -0.3 ? 12.0
                                                         : 3.0;
  const double y =
      std::clamp(tip.y() + above, drawing.frame.low.y() + 12.0, drawing.frame.high.y() - 16.0);
  canvas.fill_rectangle(x - 1.5, y - 7.5, width + 3.0, 9.5, kPaper);
  canvas.text(x, y, words, style);
}

/// What the lines are, in as many words as the frame has room for.
void draw_caption(PdfCanvas& canvas, const Section& section, const FlatBox& frame) {
  const TextStyle style{6.4, false, kSecondInk, Anchor::End};
  std::string words = "black: as scanned, grey: as designed; " + view_title(section.view);
  if (canvas.text_width(words, style) > frame.width() - 10.0)
    words = "black: scan, grey: design; " + view_title(section.view);
  if (canvas.text_width(words, style) > frame.width() - 10.0) words = view_title(section.view);
  canvas.text(frame.high.x() - 5.0, frame.high.y() - 6.0, words, style);
}

}  // namespace

double section_height(const Section& section, double width) {
  const double shape = section.window.height() / std::max(section.window.width(), 1e-6);
  return kHeadingRoom + shape * (width - 2.0 * kInset) + 2.0 * kInset;
}

void draw_section(PdfCanvas& canvas, const SheetContext& context, const Section& section,
                  const Region& region, const FlatBox& box) {
  const FlatBox frame{{box.low.x(), box.low.y() + kHeadingRoom}, box.high};
  const double scale =
      std::min((frame.width() - 2.0 * kInset) / std::max(section.window.width(), 1e-6),
               (frame.height() - 2.0 * kInset) / std::max(section.window.height(), 1e-6));
  const Drawing drawing{section, frame, scale, magnification(region.peak_mm, scale)};
  draw_heading(canvas, box.low.x(), box.low.y() + 7.0,
               "Section through " + std::to_string(region.id) + ", misfit \u00d7 " +
                   shortest(drawing.magnified));
  canvas.rectangle(frame.low.x(), frame.low.y(), frame.width(), frame.height(), {kRule, 0.7});
  draw_design(canvas, drawing);
  draw_strokes(canvas, band_at(context.inspection.plan, region.center_mm).band, drawing);
  draw_scanned(canvas, drawing);
  draw_peak(canvas, context, drawing, region);
  draw_ruler(canvas, frame.low.x() + 7.0, frame.high.y() - 17.0, scale, kRulerLength);
  draw_caption(canvas, section, frame);
}

}  // namespace trammel
