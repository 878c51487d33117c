#include "trammel/report/legend_figure.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/numbers.hpp"
#include "trammel/report/histogram.hpp"
#include "trammel/report/sheet_marks.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

constexpr double kStripHeight = 9.0;
constexpr double kBesideAxis = 14.0;  ///< points left free at either end, for the numbers
constexpr double kLeastBar = 2.0;     ///< points; a little area must not vanish
constexpr Rgb kVeil{0xef, 0xef, 0xef};
constexpr Rgb kBarRim{0x9a, 0x9d, 0xa1};

/// From mm to the page along the axis.
struct Axis {
  double low_mm, high_mm, x, width;
  [[nodiscard]] double at(double mm) const {
    return x + width * (mm - low_mm) / (high_mm - low_mm);
  }
};

Axis axis_of(const Histogram& histogram, double x, double width) {
  return {histogram.edges_mm.front(), histogram.edges_mm.back(), x, width};
}

void draw_strip(PdfCanvas& canvas, const Histogram& histogram, const Band& band, const Axis& axis,
                double y) {
  // Bin edges hold every step's border, so each bin has one colour; equal neighbours are joined.
  const auto& edges = histogram.edges_mm;
  std::size_t start = 0;
  const auto colour_of_bin = [&](std::size_t bin) {
    return colour_of(0.5 * (edges[bin] + edges[bin + 1]), band);
  };
  for (std::size_t bin = 1; bin < edges.size(); ++bin) {
    const bool last = bin + 1 == edges.size();
    if (!last && colour_of_bin(bin) == colour_of_bin(start)) continue;
    canvas.fill_rectangle(axis.at(edges[start]), y, axis.at(edges[bin]) - axis.at(edges[start]),
                          kStripHeight, colour_of_bin(start));
    start = bin;
  }
}

/// "+0.75", "0", "\u2212" for a minus.
std::string axis_words(double mm) {
  const double rounded = std::round(mm * 1e6) / 1e6;
  const std::string words = shortest(std::abs(rounded));
  return rounded == 0.0 ? words : (rounded > 0.0 ? "+" : "\u2212") + words;
}

/// Numbers under the strip, most needed first; one that would touch another is left out. The last
/// one of the axis carries the unit, and moves in from its end as far as that needs.
void draw_numbers(PdfCanvas& canvas, const Band& band, const Axis& axis, double baseline_y) {
  const TextStyle style{kBodySize, false, kSecondInk, Anchor::Middle};
  std::vector<std::pair<double, double>> taken;
  const auto number = [&](double mm, const std::string& words) {
    const double half = 0.5 * canvas.text_width(words, style);
    const double x = std::min(axis.at(mm), axis.x + axis.width + kBesideAxis - half);
    const double from = x - half - 4.0, to = x + half + 4.0;
    for (const auto& [low, high] : taken) {
      if (from < high && to > low) return;
    }
    taken.emplace_back(from, to);
    canvas.text(x, baseline_y, words, style);
  };
  number(axis.high_mm, axis_words(axis.high_mm) + " mm");
  for (const double multiple : {0.0, 1.0, 3.0, 2.0, 1.5}) {
    number(multiple * band.over_mm, axis_words(multiple * band.over_mm));
    if (multiple > 0.0) number(-multiple * band.under_mm, axis_words(-multiple * band.under_mm));
  }
}

void draw_bars(PdfCanvas& canvas, const Histogram& histogram, const Band& band, const Axis& axis,
               double base_y, double height) {
  const auto& edges = histogram.edges_mm;
  const auto density = [&](std::size_t bin) {
    return histogram.area_mm2[bin] / (edges[bin + 1] - edges[bin]);
  };
  double most = 0.0;
  for (std::size_t bin = 0; bin < histogram.area_mm2.size(); ++bin)
    most = std::max(most, density(bin));
  for (std::size_t bin = 0; bin < histogram.area_mm2.size(); ++bin) {
    if (histogram.area_mm2[bin] <= 0.0) continue;
    const double tall = std::max(kLeastBar, height * density(bin) / most);
    const double left = axis.at(edges[bin]) + 0.3, right = axis.at(edges[bin + 1]) - 0.3;
    canvas.fill_rectangle(left, base_y - tall, right - left, tall,
                          colour_of(0.5 * (edges[bin] + edges[bin + 1]), band));
    if (tall > 4.0) canvas.rectangle(left, base_y - tall, right - left, tall, {kBarRim, 0.3});
  }
}

/// Limits as lines, the doubt around them as a veil behind everything.
void draw_limits(PdfCanvas& canvas, const Band& band, double uncertainty_mm, const Axis& axis,
                 double top, double bottom, bool veil) {
  for (const double limit : {band.over_mm, -band.under_mm}) {
    if (veil) {
      const double left = axis.at(std::max(axis.low_mm, limit - uncertainty_mm));
      const double right = axis.at(std::min(axis.high_mm, limit + uncertainty_mm));
      canvas.fill_rectangle(left, top, right - left, bottom - top, kVeil);
    } else {
      canvas.line(axis.at(limit), top, axis.at(limit), bottom, {kInk, 1.0});
    }
  }
}

std::string share_words(double part, double whole) {
  return whole > 0.0 ? percent_words(part / whole) : std::string("\u2013");
}

/// Share of what was seen, and what of it the axis does not reach.
std::string side_words(double part_mm2, double further_mm2, double seen_mm2) {
  return share_words(part_mm2, seen_mm2) +
         (further_mm2 > 0.0 ? ", " + area_words(further_mm2) + " further out" : "");
}

void draw_words(PdfCanvas& canvas, const SheetContext& context, const Histogram& histogram,
                const Axis& axis, double top, double middle) {
  const Histogram& h = histogram;
  const double inside = h.seen_mm2 - h.proud_mm2 - h.shy_mm2;
  const Band& band = context.inspection.plan.band;
  const bool zones = !context.inspection.plan.zones.empty();
  canvas.text(axis.at(0.0), top,
              "inside " + (zones ? "the bands of the plan" : band_words(band, context.decimals)) +
                  ": " + share_words(inside, h.seen_mm2) + " of what was seen",
              {kBodySize, false, kSecondInk, Anchor::Middle});
  canvas.text(axis.x + 4.0, middle, "shy: too little", {kHeadingSize, true, colour_of_step(-3)});
  canvas.text(axis.x + 4.0, middle + 11.0, side_words(h.shy_mm2, h.below_mm2, h.seen_mm2),
              {kBodySize, false, kSecondInk});
  const double right = axis.x + axis.width - 4.0;
  canvas.text(right, middle, "proud: too much",
              {kHeadingSize, true, colour_of_step(3), Anchor::End});
  canvas.text(right, middle + 11.0, side_words(h.proud_mm2, h.beyond_mm2, h.seen_mm2),
              {kBodySize, false, kSecondInk, Anchor::End});
  if (context.inspection.verdict.uncertainty.expanded_mm > 0.0) {
    canvas.text(axis.at(drawn_band(context.inspection.plan.band).over_mm) + 6.0, top + 12.0,
                "grey: \u00b1U, undecided there", {kSmallSize, false, kSecondInk});
  }
}

}  // namespace

void draw_legend(PdfCanvas& canvas, const SheetContext& context, const FlatBox& box) {
  const Histogram histogram = histogram_of(context.inspection);
  const Axis axis = axis_of(histogram, box.low.x() + kBesideAxis, box.width() - 2.0 * kBesideAxis);
  const Band band = drawn_band(context.inspection.plan.band);
  const double strip_y = box.high.y() - 36.0, base_y = strip_y - 3.0, bars_top = box.low.y() + 14.0;
  const double uncertainty = context.inspection.verdict.uncertainty.expanded_mm;
  draw_limits(canvas, band, uncertainty, axis, bars_top, base_y, true);
  draw_bars(canvas, histogram, band, axis, base_y, base_y - bars_top - 4.0);
  draw_strip(canvas, histogram, band, axis, strip_y);
  draw_limits(canvas, band, uncertainty, axis, bars_top, strip_y + kStripHeight, false);
  draw_numbers(canvas, band, axis, strip_y + kStripHeight + 11.0);
  draw_words(canvas, context, histogram, axis, box.low.y() + 7.0, 0.5 * (bars_top + base_y));
}

void draw_legend_strip(PdfCanvas& canvas, const SheetContext& context, double x, double y,
                       double width) {
  const Histogram histogram = histogram_of(context.inspection);
  const Axis axis = axis_of(histogram, x + kBesideAxis, width - 2.0 * kBesideAxis);
  const Band band = drawn_band(context.inspection.plan.band);
  draw_strip(canvas, histogram, band, axis, y);
  draw_limits(canvas, band, 0.0, axis, y - 2.0, y + kStripHeight, false);
  draw_numbers(canvas, band, axis, y + kStripHeight + 11.0);
}

}  // namespace trammel
