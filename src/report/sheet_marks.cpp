#include "trammel/report/sheet_marks.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/constants.hpp"
#include "trammel/base/text.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

constexpr TextStyle kBalloonText{9.5, true, kInk, Anchor::Middle};
constexpr double kWidestLabel =
    110.0;  ///< wider than `balloon_names` lets names be, but for rare scripts

std::vector<Eigen::Vector2d> regular_polygon(double x, double y, double radius, int corners,
                                             double first_turn) {
  std::vector<Eigen::Vector2d> points;
  for (int i = 0; i < corners; ++i) {
    const double turn = first_turn + 2.0 * kPi * i / corners;
    points.emplace_back(x + radius * std::cos(turn), y + radius * std::sin(turn));
  }
  return points;
}

void draw_tick(PdfCanvas& canvas, double x, double y, double r) {
  const std::vector<Eigen::Vector2d> tick = {
      {x - 0.42 * r, y + 0.02 * r}, {x - 0.10 * r, y + 0.34 * r}, {x + 0.45 * r, y - 0.34 * r}};
  canvas.polyline(tick, false, {kPaper, 0.17 * r});
}

void draw_cross(PdfCanvas& canvas, double x, double y, double r) {
  const double arm = 0.37 * r;
  canvas.line(x - arm, y - arm, x + arm, y + arm, {kPaper, 0.18 * r});
  canvas.line(x - arm, y + arm, x + arm, y - arm, {kPaper, 0.18 * r});
}

/// The label as it stands in the balloon: long names are cut, the tables have them whole.
std::string balloon_label(const PdfCanvas& canvas, const std::string& label) {
  return shortened_name(canvas, label, kBalloonText, kWidestLabel);
}

std::string short_hash(const std::string& sha256) {
  return sha256.empty() ? "unknown" : sha256.substr(0, 12) + "\u2026";
}

/// A circle, stretched sideways by `core` on either side.
std::vector<Eigen::Vector2d> pill(double x, double y, double radius, double core) {
  constexpr int kArc = 16;
  std::vector<Eigen::Vector2d> points;
  for (int i = 0; i <= kArc; ++i) {
    const double turn = kPi * (i / double(kArc) - 0.5);
    points.emplace_back(x + core + radius * std::cos(turn), y + radius * std::sin(turn));
  }
  for (int i = 0; i <= kArc; ++i) {
    const double turn = kPi * (i / double(kArc) + 0.5);
    points.emplace_back(x - core + radius * std::cos(turn), y + radius * std::sin(turn));
  }
  return points;
}

}  // namespace

double text_right(const PdfCanvas& canvas) {
  return canvas.size().width - kMargin;
}

double full_width(const PdfCanvas& canvas) {
  return canvas.size().width - 2.0 * kMargin;
}

double footer_y(const PdfCanvas& canvas) {
  return canvas.size().height - 24.0;
}

double text_bottom(const PdfCanvas& canvas) {
  return canvas.size().height - 46.0;
}

void draw_verdict_mark(PdfCanvas& canvas, Outcome outcome, double x, double y, double radius) {
  const Rgb colour = verdict_colour(outcome);
  switch (outcome) {
    case Outcome::Fail:
      canvas.fill(regular_polygon(x, y, radius, 8, kPi / 8.0), colour);
      draw_cross(canvas, x, y, radius);
      return;
    case Outcome::Undecided:
      canvas.fill(regular_polygon(x, y, radius, 4, 0.0), colour);
      canvas.text(x, y + 0.40 * radius, "?", {1.12 * radius, true, kPaper, Anchor::Middle});
      return;
    case Outcome::Pass:
    case Outcome::Listed:
      canvas.fill_circle(x, y, radius, colour);
      draw_tick(canvas, x, y, radius);
      return;
  }
}

double balloon_half_width(const PdfCanvas& canvas, const std::string& label) {
  const double text = canvas.text_width(balloon_label(canvas, label), kBalloonText);
  return std::max(kBalloonRadius, 0.5 * text + 4.0);
}

void draw_balloon(PdfCanvas& canvas, double x, double y, const std::string& label, Rgb colour) {
  const double core = balloon_half_width(canvas, label) - kBalloonRadius;
  const std::vector<Eigen::Vector2d> rim = pill(x, y, kBalloonRadius, core);
  canvas.fill(rim, kPaper);
  canvas.polyline(rim, true, {colour, 1.1});
  TextStyle style = kBalloonText;
  style.colour = colour;
  canvas.text(x, y + 3.4, balloon_label(canvas, label), style);
}

Rgb balloon_colour(bool is_opening, Outcome outcome) {
  const bool good = outcome == Outcome::Pass || outcome == Outcome::Listed;
  return is_opening && !good ? verdict_colour(outcome) : kInk;
}

void draw_heading(PdfCanvas& canvas, double x, double baseline_y, const std::string& words) {
  canvas.text(x, baseline_y, words, {kHeadingSize, true, kSecondInk});
}

void draw_rule(PdfCanvas& canvas, double y) {
  canvas.line(kMargin, y, text_right(canvas), y, {kRule, 0.6});
}

double draw_page_head(PdfCanvas& canvas, const SheetContext& context) {
  const Inspection& inspection = context.inspection;
  const Outcome outcome = inspection.verdict.outcome;
  draw_verdict_mark(canvas, outcome, kMargin + 7.0, 42.0, 7.0);
  const TextStyle word{11.0, true, verdict_colour(outcome)};
  canvas.text(kMargin + 20.0, 46.0, verdict_word(outcome), word);
  const TextStyle scan{kBodySize, false, kSecondInk, Anchor::End};
  const std::string file =
      shortened(canvas, "scan " + printable(inspection.source.file), scan, 200.0);
  canvas.text(text_right(canvas), 46.0, file, scan);
  const double start = kMargin + 30.0 + canvas.text_width(verdict_word(outcome), word);
  const double room = text_right(canvas) - canvas.text_width(file, scan) - 14.0 - start;
  const TextStyle title{kHeadingSize, true, kInk};
  canvas.text(start, 46.0, shortened(canvas, part_title(inspection), title, room), title);
  canvas.line(kMargin, 56.0, text_right(canvas), 56.0, {kInk, 0.8});
  return 56.0;
}

void draw_footers(PdfCanvas& canvas, const Inspection& inspection) {
  const std::string words = "trammel " + printable(inspection.run.version) +
                            " \u00b7 decision rule ISO 14253-1 \u00b7 design " +
                            short_hash(inspection.design.sha256) + " scan " +
                            short_hash(inspection.source.sha256);
  const TextStyle style{kSmallSize, false, kSecondInk};
  TextStyle at_end = style;
  at_end.anchor = Anchor::End;
  for (std::size_t page = 0; page < canvas.page_count(); ++page) {
    canvas.select_page(page);
    canvas.text(kMargin, footer_y(canvas), words, style);
    canvas.text(text_right(canvas), footer_y(canvas),
                std::to_string(page + 1) + " / " + std::to_string(canvas.page_count()), at_end);
  }
}

double draw_lines(PdfCanvas& canvas, double x, double baseline_y, const std::string& words,
                  const TextStyle& style, double width, std::size_t most_lines, double leading) {
  for (const std::string& line : wrapped(canvas, words, style, width, most_lines)) {
    canvas.text(x, baseline_y, line, style);
    baseline_y += leading;
  }
  return baseline_y;
}

}  // namespace trammel
