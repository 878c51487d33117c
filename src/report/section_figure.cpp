#include "trammel/report/section_figure.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/report/balloons.hpp"
#include "trammel/report/scale_bar.hpp"
#include "trammel/report/sheet_marks.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

constexpr double kInset = 22.0;        ///< free room inside the frame, for the magnified misfit
constexpr double kRulerRoom = 14.0;    ///< and more of it below, for the ruler and the caption
constexpr double kHeadingRoom = 15.0;  ///< above the frame
constexpr double kMostPoints = 14.0;   ///< the largest misfit is drawn at most so long
constexpr double kRulerLength = 26.0;  ///< at least
constexpr double kClearOfLines = 1.5;  ///< words to lines: half of one and as much again
constexpr double kStrokeEvery = 3.2;   ///< points along the design's line

/// The section on the page.
struct Drawing {
  const Section& section;
  FlatBox room;      ///< that the lines lie in, with their misfit; above the ruler
  double scale;      ///< points a mm
  double magnified;  ///< the misfit, beside the shape
  [[nodiscard]] Eigen::Vector2d on_page(const Eigen::Vector2d& flat_mm) const {
    const Eigen::Vector2d off = scale * (flat_mm - section.window.center());
    return {room.center().x() + off.x(), room.center().y() - off.y()};
  }
  [[nodiscard]] Eigen::Vector2d scanned(const Eigen::Vector2d& flat_mm,
                                        const Eigen::Vector2d& outward, double deviation) const {
    return on_page(flat_mm + magnified * deviation * outward);
  }
};

/// The peak, or what is off by more beside it: a hole's wall must not be drawn across the next one.
double largest_misfit_mm(const Section& section, double peak_mm) {
  double largest = std::abs(peak_mm);
  for (const SectionPiece& piece : section.pieces)
    for (const double off : {piece.from_mm, piece.to_mm})
      if (std::isfinite(off)) largest = std::max(largest, std::abs(off));
  return largest;
}

/// 1, 2 or 5 times a power of ten, at least 1, so that the misfit is not drawn too long.
double magnification(double misfit_mm, double scale) {
  const double most = kMostPoints / std::max(1e-9, misfit_mm * scale);
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

/// Whether a rectangle holds a place.
bool holds(const FlatBox& box, const Eigen::Vector2d& p) {
  return (p.array() >= box.low.array()).all() && (p.array() <= box.high.array()).all();
}

/// Whether a line meets a rectangle: an end of it lies inside, or it crosses a diagonal.
bool is_under(const FlatBox& box, const Eigen::Vector2d& a, const Eigen::Vector2d& b) {
  const Eigen::Vector2d left(box.low.x(), box.high.y()), right(box.high.x(), box.low.y());
  return holds(box, a) || holds(box, b) || segments_meet(a, b, box.low, box.high) ||
         segments_meet(a, b, left, right);
}

/// How many of the drawn lines a rectangle would cover.
int lines_under(const Drawing& drawing, const FlatBox& box) {
  int count = 0;
  for (const SectionPiece& piece : drawing.section.pieces) {
    count += is_under(box, drawing.on_page(piece.from), drawing.on_page(piece.to)) ? 1 : 0;
    if (!std::isfinite(piece.from_mm) || !std::isfinite(piece.to_mm)) continue;
    count += is_under(box, drawing.scanned(piece.from, piece.outward, piece.from_mm),
                      drawing.scanned(piece.to, piece.outward, piece.to_mm))
                 ? 1
                 : 0;
  }
  return count;
}

/// Where the words of the peak cover least of what is drawn: beside it all round, near ones first.
FlatBox place_beside(const Drawing& drawing, const Eigen::Vector2d& tip,
                     const Eigen::Vector2d& size) {
  constexpr int kDirections = 12;
  FlatBox best;
  int fewest = -1;
  for (const double away : {7.0, 13.0, 20.0, 30.0}) {
    for (int k = 0; k < kDirections; ++k) {
      const double turn = 2.0 * kPi * k / kDirections;
      const Eigen::Vector2d towards(std::cos(turn), std::sin(turn));
      const Eigen::Vector2d center = tip + away * towards + 0.5 * size.cwiseProduct(towards);
      const FlatBox box{center - 0.5 * size, center + 0.5 * size};
      if (!holds(drawing.room, box.low) || !holds(drawing.room, box.high)) continue;
      const int under =
          lines_under(drawing, {box.low.array() - kClearOfLines, box.high.array() + kClearOfLines});
      if (fewest >= 0 && under >= fewest) continue;
      best = box;
      fewest = under;
    }
  }
  if (fewest >= 0) return best;
  const Eigen::Vector2d low = tip.cwiseMax(drawing.room.low).cwiseMin(drawing.room.high - size);
  return {low, low + size};
}

void draw_peak(PdfCanvas& canvas, const SheetContext& context, const Drawing& drawing,
               const Region& region) {
  const Section& section = drawing.section;
  const std::string words = region.absence == Absence::None
                                ? signed_fixed(region.peak_mm, context.decimals) + " mm"
                            : region.hole_mm ? "a hole"
                                             : "missing";
  const TextStyle style{8.5, true, kInk};
  const Eigen::Vector2d size(canvas.text_width(words, style) + 3.0, 9.5);
  const Eigen::Vector2d tip = drawing.scanned(section.peak, section.peak_outward, region.peak_mm);
  const FlatBox box = place_beside(drawing, tip, size);
  const Eigen::Vector2d nearest = tip.cwiseMax(box.low).cwiseMin(box.high);
  canvas.line(tip.x(), tip.y(), nearest.x(), nearest.y(), {kSecondInk, 0.6});
  canvas.fill_rectangle(box.low.x(), box.low.y(), size.x(), size.y(), kPaper);
  canvas.text(box.low.x() + 1.5, box.high.y() - 2.0, words, style);
}

/// "cut at Y 30.0", beside the ruler or not at all.
/// @param from_x  where the ruler ends
void draw_plane(PdfCanvas& canvas, const Section& section, double from_x, const FlatBox& frame) {
  int axis = 0;
  section.view.towards.cwiseAbs().maxCoeff(&axis);
  const double at_mm = section.plane_mm * section.view.towards[axis];
  const TextStyle style{6.4, false, kSecondInk, Anchor::End};
  const std::string words = std::string("cut at ") + "XYZ"[axis] + " " + fixed(at_mm, 1);
  if (frame.high.x() - 5.0 - canvas.text_width(words, style) > from_x + 6.0)
    canvas.text(frame.high.x() - 5.0, frame.high.y() - 14.5, words, style);
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
  return kHeadingRoom + shape * (width - 2.0 * kInset) + 2.0 * kInset + kRulerRoom;
}

void draw_section(PdfCanvas& canvas, const SheetContext& context, const Section& section,
                  const Region& region, const FlatBox& box) {
  const FlatBox frame{{box.low.x(), box.low.y() + kHeadingRoom}, box.high};
  const FlatBox room{frame.low, {frame.high.x(), frame.high.y() - kRulerRoom}};
  const double scale =
      std::min((room.width() - 2.0 * kInset) / std::max(section.window.width(), 1e-6),
               (room.height() - 2.0 * kInset) / std::max(section.window.height(), 1e-6));
  const Drawing drawing{section, room, scale,
                        magnification(largest_misfit_mm(section, region.peak_mm), scale)};
  draw_heading(canvas, box.low.x(), box.low.y() + 7.0,
               "Section through " + std::to_string(region.id) + ", misfit \u00d7 " +
                   shortest(drawing.magnified));
  canvas.rectangle(frame.low.x(), frame.low.y(), frame.width(), frame.height(), {kRule, 0.7});
  draw_design(canvas, drawing);
  draw_strokes(canvas, band_at(context.inspection.plan, region.center_mm).band, drawing);
  draw_scanned(canvas, drawing);
  draw_peak(canvas, context, drawing, region);
  draw_plane(canvas, section,
             draw_ruler(canvas, frame.low.x() + 7.0, frame.high.y() - 17.0, scale, kRulerLength),
             frame);
  draw_caption(canvas, section, frame);
}

}  // namespace trammel
