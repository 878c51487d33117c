#include <algorithm>
#include <cmath>

#include "trammel/base/numbers.hpp"
#include "trammel/report/histogram.hpp"
#include "trammel/report/html_parts.hpp"
#include "trammel/report/html_text.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

// The drawing is 1000 × 120 units, stretched to the page's width; words stand outside it.
constexpr double kBase = 104.0, kStrip = 108.0, kStripTall = 12.0, kTall = 100.0;
constexpr double kLeastTall = 2.0;

/// From mm to the drawing.
struct Across {
  double low_mm, high_mm;
  [[nodiscard]] double at(double mm) const {
    return 1000.0 * (std::clamp(mm, low_mm, high_mm) - low_mm) / (high_mm - low_mm);
  }
};

std::string attribute(const std::string& name, double value) {
  return " " + name + "=\"" + fixed(value, 2) + "\"";
}

std::string box(double x, double y, double width, double height, const std::string& more) {
  return "<rect" + attribute("x", x) + attribute("y", y) + attribute("width", width) +
         attribute("height", height) + more + "/>";
}

std::string fill(Rgb colour) {
  return " fill=\"" + css_colour(colour) + "\"";
}

std::string bars(const Histogram& histogram, const Band& band, const Across& across) {
  const auto& edges = histogram.edges_mm;
  const auto density = [&](std::size_t bin) {
    return histogram.area_mm2[bin] / (edges[bin + 1] - edges[bin]);
  };
  double most = 0.0;
  for (std::size_t bin = 0; bin < histogram.area_mm2.size(); ++bin)
    most = std::max(most, density(bin));
  std::string html = "<g id=\"bars\">";
  for (std::size_t bin = 0; bin < histogram.area_mm2.size(); ++bin) {
    if (histogram.area_mm2[bin] <= 0.0) continue;
    const double tall = std::max(kLeastTall, kTall * density(bin) / most);
    const double left = across.at(edges[bin]), middle = 0.5 * (edges[bin] + edges[bin + 1]);
    html += box(left + 0.5, kBase - tall, across.at(edges[bin + 1]) - left - 1.0, tall,
                fill(colour_of(middle, band)) + " data-mm=\"" + shortest(middle) + "\"");
  }
  return html + "</g>";
}

std::string strip(const Band& band, const Across& across) {
  std::string html = "<g id=\"strip\">";
  double from = across.low_mm;
  for (int step = -kLastStep; step <= kLastStep; ++step) {
    const double to = step < 0           ? -step_start(-step) * band.under_mm
                      : step < kLastStep ? step_start(step + 1) * band.over_mm
                                         : across.high_mm;
    html += box(across.at(from), kStrip, across.at(to) - across.at(from), kStripTall,
                fill(colour_of_step(step)));
    from = to;
  }
  return html + "</g>";
}

std::string limits(const Band& band, double uncertainty_mm, const Across& across) {
  std::string veils, lines;
  for (const auto& [name, mm] : {std::pair("over", band.over_mm), {"under", -band.under_mm}}) {
    const double left = across.at(mm - uncertainty_mm), right = across.at(mm + uncertainty_mm);
    veils += box(left, 0.0, right - left, kBase, " class=\"veil\"");
    lines += std::string("<line class=\"limit\" id=\"limit-") + name + "\"" +
             attribute("x1", across.at(mm)) + attribute("x2", across.at(mm)) +
             attribute("y1", 0.0) + attribute("y2", kStrip + kStripTall) + "/>";
  }
  return veils + "|" + lines;
}

/// Where numbers may stand: SVG text would be stretched, so each is placed by a style of its own.
std::string numbers(const Band& band, const Across& across) {
  std::string html = "<div class=\"numbers\">";
  for (const double multiple : {-3.0, -2.0, -1.0, 0.0, 1.0, 2.0, 3.0}) {
    const double mm = multiple * (multiple < 0.0 ? band.under_mm : band.over_mm);
    const double rounded = std::round(mm * 1e6) / 1e6;
    const std::string sign = rounded > 0.0 ? "+" : rounded < 0.0 ? "\u2212" : "";
    html += "<span style=\"left:" + fixed(0.1 * across.at(mm), 2) + "%\">" + sign +
            shortest(std::abs(rounded)) + "</span>";
  }
  return html + "</div>\n";
}

std::string share_of(double part, double whole) {
  return whole > 0.0 ? percent_words(part / whole) : std::string("\u2013");
}

std::string sides(const SheetContext& context, const Histogram& h) {
  const Plan& plan = context.inspection.plan;
  const auto side = [&](const char* name, const char* words, double part, double off) {
    const std::string more = off > 0.0 ? "; " + area_words(off) + " further out" : "";
    return std::string("<div class=\"") + name + "\">" + words + "<small>" +
           share_of(part, h.seen_mm2) + more + "</small></div>";
  };
  const std::string within =
      plan.zones.empty() ? band_words(plan.band, context.decimals) : "the bands of the plan";
  return "<div class=\"sides\">" + side("shy", "shy: too little", h.shy_mm2, h.below_mm2) +
         "<div class=\"inside\">inside " + within + ": " +
         share_of(h.seen_mm2 - h.proud_mm2 - h.shy_mm2, h.seen_mm2) + " of what was seen</div>" +
         side("proud", "proud: too much", h.proud_mm2, h.beyond_mm2) + "</div>\n";
}

constexpr const char* kSliders =
    "<div class=\"sliders\" hidden>"
    "<input type=\"range\" id=\"band-under\" min=\"0\" max=\"3\" step=\"0.02\" value=\"1\" "
    "aria-label=\"Shown limit on the shy side, as a multiple of the plan's\">"
    "<input type=\"range\" id=\"band-over\" min=\"0\" max=\"3\" step=\"0.02\" value=\"1\" "
    "aria-label=\"Shown limit on the proud side, as a multiple of the plan's\"></div>\n"
    "<p class=\"told\" id=\"band-told\" role=\"status\" hidden><span id=\"band-words\"></span> "
    "<button type=\"button\" id=\"band-reset\">Back to the plan's band</button></p>\n";

}  // namespace

std::string legend_html(const SheetContext& context) {
  const Histogram histogram = histogram_of(context.inspection);
  const Band band = drawn_band(context.inspection.plan.band);
  const Across across{histogram.edges_mm.front(), histogram.edges_mm.back()};
  const std::string both = limits(band, context.inspection.verdict.uncertainty.expanded_mm, across);
  const std::size_t border = both.find('|');
  return sides(context, histogram) +
         "<div class=\"legend\"><svg viewBox=\"0 0 1000 120\" preserveAspectRatio=\"none\" "
         "role=\"img\" aria-label=\"Histogram of deviations by area on the strip of colours\">" +
         both.substr(0, border) + bars(histogram, band, across) + strip(band, across) +
         both.substr(border + 1) + "</svg>\n" + numbers(band, across) + kSliders + "</div>\n";
}

}  // namespace trammel
