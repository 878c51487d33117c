#include <algorithm>

#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/report/front_words.hpp"
#include "trammel/report/legend_figure.hpp"
#include "trammel/report/section_figure.hpp"
#include "trammel/report/sheet_marks.hpp"
#include "trammel/report/sheet_pages.hpp"
#include "trammel/report/view_figure.hpp"
#include "trammel/report/whole_part_words.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

constexpr double kRightWidth = 167.0;  ///< section and trust
constexpr double kLegendHeight = 152.0;
constexpr double kLeastLegend = 118.0;
constexpr double kWantedPicture = 250.0;  ///< the legend gives way to it
constexpr double kCautionHeight = 30.0;
constexpr double kTrustHeight = 88.0;
constexpr double kLeastSection = 110.0;
constexpr double kLeastOtherSide = 150.0;
constexpr double kLeading = 11.2;
constexpr double kBalloonIndent = 26.0;
constexpr double kAnswerRadius = 8.5;
constexpr double kAnswerIndent = 24.0;
constexpr double kColumnGap = 18.0;

/// Where the section and what may be believed begin.
double right_column_x(const PdfCanvas& canvas) {
  return text_right(canvas) - kRightWidth;
}

/// Where the second of two columns begins.
double second_column_x(const PdfCanvas& canvas) {
  return kMargin + 0.5 * full_width(canvas) + 20.0;
}

/// Verdict left, part right; returns the y of the rule below.
double draw_head(PdfCanvas& canvas, const SheetContext& context) {
  const Inspection& inspection = context.inspection;
  const Outcome outcome = inspection.verdict.outcome;
  draw_verdict_mark(canvas, outcome, 60.0, 62.0, outcome == Outcome::Undecided ? 27.0 : 25.0);
  canvas.text(96.0, 58.0, verdict_word(outcome), {26.0, true, verdict_colour(outcome)});
  const double sentence_end = draw_lines(canvas, 96.0, 74.0, verdict_sentence(inspection),
                                         {10.0, false, kInk}, 270.0, 3, 13.0);
  const TextStyle title{11.0, true, kInk, Anchor::End};
  const double title_end =
      draw_lines(canvas, text_right(canvas), 48.0, part_title(inspection), title, 176.0, 2, 13.0);
  const TextStyle second{8.5, false, kSecondInk, Anchor::End};
  const std::string date = ", " + date_words(inspection.run.date);
  const std::string scan = shortened(canvas, "scan " + printable(inspection.source.file), second,
                                     176.0 - canvas.text_width(date, second));
  canvas.text(text_right(canvas), title_end + 1.0, scan + date, second);
  const std::string plan =
      inspection.plan.file.empty()
          ? "plan from the command line: " + band_words(inspection.plan.band, context.decimals)
          : "plan " + printable(inspection.plan.file.filename().string());
  canvas.text(text_right(canvas), title_end + 13.0, shortened(canvas, plan, second, 190.0), second);
  double last = title_end + 13.0;
  if (const std::string made = maker_words(inspection.plan); !made.empty())
    last = draw_lines(canvas, text_right(canvas), last + 12.0, made, second, 190.0, 3, 11.0) - 11.0;
  const double rule = std::max({96.0, sentence_end - 2.0, last + 10.0});
  canvas.line(kMargin, rule, text_right(canvas), rule, {kInk, 1.0});
  return rule;
}

/// Draws a column, or only measures it when `draw` is false; returns the y after it.
double flow_column(PdfCanvas& canvas, const FrontColumn& column, double x, double y, double width,
                   bool draw) {
  double indent = 0.0;
  for (const FrontEntry& entry : column.entries) {
    if (entry.outcome) indent = std::max(indent, kAnswerIndent);
    if (entry.balloon.empty()) continue;
    indent =
        std::max({indent, kBalloonIndent, 2.0 * balloon_half_width(canvas, entry.balloon) + 8.0});
  }
  if (draw) draw_heading(canvas, x, y, column.heading);
  y += 18.0;
  const TextStyle title{kHeadingSize, true, kInk}, detail{kBodySize, false, kSecondInk};
  for (const FrontEntry& entry : column.entries) {
    const double start = y;
    for (const auto& [words, style] :
         {std::pair(entry.title, title), std::pair(entry.detail, detail)}) {
      if (words.empty()) continue;
      for (const std::string& line :
           wrapped(canvas, words, style, width - indent, column.most_lines)) {
        if (draw) canvas.text(x + indent, y, line, style);
        y += kLeading;
      }
    }
    if (draw && entry.outcome)
      draw_verdict_mark(canvas, *entry.outcome, x + kAnswerRadius, start + 2.0, kAnswerRadius);
    if (draw && !entry.balloon.empty()) {
      draw_balloon(canvas, x + balloon_half_width(canvas, entry.balloon), start + 2.0,
                   entry.balloon, entry.colour);
    }
    const bool has_mark = entry.outcome || !entry.balloon.empty();
    y = std::max(y, start + (has_mark ? 18.0 : 0.0)) + 7.0;
  }
  return y;
}

using Columns = std::pair<FrontColumn, FrontColumn>;

/// Two columns side by side, or one over the whole width where the other has nothing to tell.
/// Returns how high they are.
double flow_columns(PdfCanvas& canvas, const Columns& columns, double y, bool draw) {
  const auto& [left, right] = columns;
  if (right.entries.empty())
    return flow_column(canvas, left, kMargin, y, full_width(canvas), draw) - y;
  if (left.entries.empty())
    return flow_column(canvas, right, kMargin, y, full_width(canvas), draw) - y;
  const double below_left =
      flow_column(canvas, left, kMargin, y, second_column_x(canvas) - kMargin - kColumnGap, draw);
  const double below_right = flow_column(canvas, right, second_column_x(canvas), y,
                                         text_right(canvas) - second_column_x(canvas), draw);
  return std::max(below_left, below_right) - y;
}

/// From above: the part as a whole where there is something to tell, then place by place.
std::vector<Columns> all_columns(const SheetContext& context) {
  std::vector<Columns> rows;
  Columns whole{flaws_column(context), bolts_column(context)};
  if (!whole.first.entries.empty() || !whole.second.entries.empty())
    rows.push_back(std::move(whole));
  rows.emplace_back(left_column(context), right_column(context));
  return rows;
}

/// As many of the lines as fit between y and the bottom.
void draw_trust(PdfCanvas& canvas, const SheetContext& context, double y, double bottom) {
  const TextStyle name_style{kBodySize, false, kSecondInk}, style{kBodySize, false, kInk};
  const double x = right_column_x(canvas) + 52.0;
  draw_heading(canvas, right_column_x(canvas), y, "May it be believed");
  y += 15.0;
  for (const auto& [name, words] : trust_lines(context)) {
    const auto lines = wrapped(canvas, words, style, text_right(canvas) - x, 2);
    if (y + kLeading * (static_cast<double>(lines.size()) - 1.0) > bottom) return;
    canvas.text(right_column_x(canvas), y, name, name_style);
    for (const std::string& line : lines) {
      canvas.text(x, y, line, style);
      y += kLeading;
    }
    y += 1.8;
  }
}

const Region* worst_region(const SheetContext& context) {
  for (const Finding& finding : context.found) {
    if (finding.subject == Subject::Region)
      return &context.inspection.verdict.regions[finding.index];
  }
  return nullptr;
}

void draw_other_side(PdfCanvas& canvas, const SheetContext& context, const FlatBox& box) {
  const View& other = context.views[1];
  draw_heading(canvas, box.low.x(), box.low.y() + 7.0, "The other side, " + view_title(other));
  draw_view(canvas, context, other,
            {{{box.low.x(), box.low.y() + 16.0}, box.high}, 170.0, 6, false});
}

/// A section through the worst region and, as far as there is room, the part's other side.
/// Returns the y below them.
double draw_beside(PdfCanvas& canvas, const SheetContext& context, const FlatBox& box) {
  const Region* region = worst_region(context);
  const auto section =
      region == nullptr ? std::nullopt
                        : section_through(context.inspection, context.painter.corners(), *region);
  if (!section) {
    draw_other_side(canvas, context, box);
    return box.high.y();
  }
  const double wanted = std::max(kLeastSection, section_height(*section, box.width()));
  const double bottom = std::min(box.low.y() + wanted, box.high.y());
  draw_section(canvas, context, *section, *region, {box.low, {box.high.x(), bottom}});
  if (box.high.y() - bottom < kLeastOtherSide) return bottom;
  draw_other_side(canvas, context, {{box.low.x(), bottom + 13.0}, box.high});
  return box.high.y();
}

void draw_caution(PdfCanvas& canvas, double y) {
  draw_rule(canvas, y);
  draw_lines(canvas, kMargin, y + 12.0, caution_words(), {7.6, false, kSecondInk},
             full_width(canvas), 2, 10.4);
}

}  // namespace

void draw_front_page(PdfCanvas& canvas, const SheetContext& context) {
  canvas.add_page();
  canvas.bookmark(verdict_word(context.inspection.verdict.outcome), 0.0);
  const double head = draw_head(canvas, context);
  // From below upwards: caution, legend, columns; the picture takes what is left.
  const double caution = text_bottom(canvas) - kCautionHeight;
  const std::vector<Columns> rows = all_columns(context);
  double for_columns = 0.0;
  for (const Columns& row : rows)
    for_columns += flow_columns(canvas, row, 0.0, false) + 10.0;
  const double left = caution - for_columns - kWantedPicture - head;
  const double legend = caution - std::clamp(left, kLeastLegend, kLegendHeight);
  const double columns = legend - for_columns;
  draw_caution(canvas, caution);
  draw_rule(canvas, legend);
  draw_heading(canvas, kMargin, legend + 15.0, "How far, how much of the surface");
  draw_legend(canvas, context, {{kMargin, legend + 22.0}, {text_right(canvas), caution - 2.0}});
  double y = columns;
  for (const Columns& row : rows) {
    draw_rule(canvas, y);
    y += flow_columns(canvas, row, y + 16.0, true) + 10.0;
  }
  const View& view = context.views.front();
  draw_heading(canvas, kMargin, head + 20.0, "Where, " + view_title(view));
  draw_view(
      canvas, context, view,
      {{{kMargin, head + 28.0}, {right_column_x(canvas) - 14.0, columns - 8.0}}, 170.0, 8, true});
  const double beside = draw_beside(
      canvas, context,
      {{right_column_x(canvas), head + 13.0}, {text_right(canvas), columns - kTrustHeight - 14.0}});
  draw_trust(canvas, context, beside + 18.0, columns - 8.0);
}

}  // namespace trammel
