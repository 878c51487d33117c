#include <algorithm>

#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/report/changes_figure.hpp"
#include "trammel/report/changes_sheet.hpp"
#include "trammel/report/changes_words.hpp"
#include "trammel/report/pdf_canvas.hpp"
#include "trammel/report/sheet_flow.hpp"
#include "trammel/report/sheet_marks.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

constexpr double kChangesDpi = 170.0;
constexpr double kTextHeight = 168.0;  ///< of the columns under the pictures
constexpr double kMiddle = 317.5;
constexpr double kLineStep = 11.2;

Rgb tone(ChangesOutcome outcome) {
  switch (outcome) {
    case ChangesOutcome::Unchanged: return verdict_colour(Outcome::Pass);
    case ChangesOutcome::Undecided: return verdict_colour(Outcome::Undecided);
    case ChangesOutcome::Changed: break;
  }
  return kInk;  // a change is neither good nor bad
}

void draw_changes_mark(PdfCanvas& canvas, ChangesOutcome outcome, double x, double y, double r) {
  if (outcome != ChangesOutcome::Changed) {
    draw_verdict_mark(
        canvas, outcome == ChangesOutcome::Unchanged ? Outcome::Pass : Outcome::Undecided, x, y, r);
    return;
  }
  canvas.fill_circle(x, y, r, kInk);
  canvas.text(x, y + 0.38 * r, "≠", {1.15 * r, true, kPaper, Anchor::Middle});
}

std::string files_words(const Changes& c) {
  return printable(c.new_file.file) + " beside " + printable(c.old_file.file);
}

double draw_changes_head(PdfCanvas& canvas, const Changes& c) {
  draw_changes_mark(canvas, c.outcome, 60.0, 62.0, 25.0);
  canvas.text(96.0, 58.0, changes_word(c.outcome), {26.0, true, tone(c.outcome)});
  const double end =
      draw_lines(canvas, 96.0, 74.0, changes_sentence(c), {10.0, false, kInk}, 290.0, 3, 13.0);
  const TextStyle title{10.0, true, kInk, Anchor::End}, second{8.5, false, kSecondInk, Anchor::End};
  canvas.text(text_right(canvas), 48.0, shortened(canvas, printable(c.new_file.file), title, 160.0),
              title);
  canvas.text(text_right(canvas), 61.0,
              shortened(canvas, "beside " + printable(c.old_file.file), second, 160.0), second);
  canvas.text(text_right(canvas), 73.0, date_words(c.run.date), second);
  const double rule = std::max(96.0, end - 2.0);
  canvas.line(kMargin, rule, text_right(canvas), rule, {kInk, 1.0});
  return rule;
}

void draw_changes_view(PdfCanvas& canvas, const Changes& c, const Splats& splats, const View& view,
                       const FlatBox& room) {
  draw_heading(canvas, room.low.x(), room.low.y(), "Where, " + view_title(view));
  const double top = room.low.y() + 8.0;
  const ChangesFigure figure =
      changes_figure(c, splats, view, room.width(), room.high.y() - top, kChangesDpi / 72.0);
  const Eigen::Vector2d shift(room.low.x(), top);
  const Eigen::Vector2d low = figure.place.low + shift;
  canvas.picture(figure.picture, low.x(), low.y(), figure.place.width(), figure.place.height());
  for (std::size_t i = 0; i < figure.balloons.size(); ++i) {
    const Balloon& balloon = figure.balloons[i];
    if (!balloon.placed) continue;
    const Eigen::Vector2d from = balloon.leader_start + shift, to = figure.anchors[i] + shift;
    canvas.line(from.x(), from.y(), to.x(), to.y(), {kInk, 0.8});
    canvas.fill_circle(to.x(), to.y(), 1.6, kInk);
    const Eigen::Vector2d at = balloon.center + shift;
    draw_balloon(canvas, at.x(), at.y(), std::to_string(c.changes[i].id), kInk);
  }
}

/// Steps of colour with what they mean, then hatching and dots.
void draw_keys(PdfCanvas& canvas, const Changes& c, double y) {
  const TextStyle style{kSmallSize, false, kSecondInk};
  double x = kMargin;
  const auto key = [&](Rgb colour, const std::string& words) {
    canvas.fill_rectangle(x, y - 7.0, 12.0, 8.5, colour);
    canvas.rectangle(x, y - 7.0, 12.0, 8.5, {kRule, 0.5});
    canvas.text(x + 15.0, y, words, style);
    x += 15.0 + canvas.text_width(words, style) + 9.0;
  };
  for (const auto& [colour, words] : changes_keys(c))
    key(colour, words);
  x = kMargin;
  y += 13.0;
  key(kPaper, "hatched: only the old scan shows it");
  key(kRule, "dotted: only the new scan shows it; mm");
}

void draw_changes_columns(PdfCanvas& canvas, const Changes& c, double y) {
  const FrontColumn column = changes_column(c);
  draw_heading(canvas, kMargin, y, column.heading);
  double at = y + 17.0;
  for (const FrontEntry& entry : column.entries) {
    const double indent = entry.balloon.empty() ? 0.0 : 26.0;
    if (indent > 0.0) draw_balloon(canvas, kMargin + 9.0, at + 2.0, entry.balloon, kInk);
    const double width = kMiddle - kMargin - 18.0 - indent;
    if (!entry.title.empty())
      at = draw_lines(canvas, kMargin + indent, at, entry.title, {kHeadingSize, true, kInk}, width,
                      2, kLineStep);
    at = draw_lines(canvas, kMargin + indent, at, entry.detail, {kBodySize, false, kSecondInk},
                    width, 4, kLineStep) +
         6.0;
  }
  draw_heading(canvas, kMiddle, y, "May it be believed");
  at = y + 17.0;
  for (const auto& [name, words] : changes_trust(c)) {
    canvas.text(kMiddle, at, name, {kBodySize, false, kSecondInk});
    at = draw_lines(canvas, kMiddle + 58.0, at, words, {kBodySize, false, kInk},
                    text_right(canvas) - kMiddle - 58.0, 3, kLineStep) +
         2.0;
  }
}

double draw_changes_page_head(PdfCanvas& canvas, const Changes& c) {
  draw_changes_mark(canvas, c.outcome, kMargin + 7.0, 42.0, 7.0);
  canvas.text(kMargin + 20.0, 46.0, changes_word(c.outcome), {11.0, true, tone(c.outcome)});
  const TextStyle end{kBodySize, false, kSecondInk, Anchor::End};
  canvas.text(text_right(canvas), 46.0, shortened(canvas, files_words(c), end, 380.0), end);
  canvas.line(kMargin, 56.0, text_right(canvas), 56.0, {kInk, 0.8});
  return 56.0;
}

void draw_changes_footers(PdfCanvas& canvas, const Changes& c) {
  const TextStyle style{kSmallSize, false, kSecondInk};
  TextStyle at_end = style;
  at_end.anchor = Anchor::End;
  for (std::size_t page = 0; page < canvas.page_count(); ++page) {
    canvas.select_page(page);
    canvas.text(kMargin, footer_y(canvas),
                "trammel " + printable(c.run.version) + " · old " +
                    c.old_file.sha256.substr(0, 12) + " new " + c.new_file.sha256.substr(0, 12),
                style);
    canvas.text(text_right(canvas), footer_y(canvas),
                std::to_string(page + 1) + " / " + std::to_string(canvas.page_count()), at_end);
  }
}

}  // namespace

std::string changes_pdf(const Changes& c, Paper paper) {
  PdfCanvas canvas(files_words(c) + ": " + outcome_name(c.outcome), c.run.date, paper);
  canvas.add_page();
  const double head = draw_changes_head(canvas, c);
  const double columns = text_bottom(canvas) - 30.0 - kTextHeight, keys = columns - 30.0;
  const Splats splats = splats_of(c);
  const std::vector<View> views = changes_views(c);
  const double first_bottom = head + 0.62 * (keys - head);
  draw_changes_view(canvas, c, splats, views[0],
                    {{kMargin, head + 20.0}, {text_right(canvas), first_bottom - 6.0}});
  draw_changes_view(canvas, c, splats, views[1],
                    {{kMargin, first_bottom + 8.0}, {text_right(canvas), keys - 12.0}});
  draw_keys(canvas, c, keys);
  draw_rule(canvas, columns - 6.0);
  draw_changes_columns(canvas, c, columns + 10.0);
  const double caution = text_bottom(canvas) - 26.0;
  draw_rule(canvas, caution);
  draw_lines(canvas, kMargin, caution + 12.0, caution_words(), {7.6, false, kSecondInk},
             full_width(canvas), 2, 10.4);
  SheetFlow flow(canvas, [&](PdfCanvas& page) { return draw_changes_page_head(page, c); });
  flow.fit([&](SheetWriter& writer) { write_changes_tables(writer, c); });
  draw_changes_footers(canvas, c);
  return canvas.bytes();
}

}  // namespace trammel
