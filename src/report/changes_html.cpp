#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/report/changes_figure.hpp"
#include "trammel/report/changes_sheet.hpp"
#include "trammel/report/changes_words.hpp"
#include "trammel/report/html_parts.hpp"
#include "trammel/report/html_text.hpp"
#include "trammel/report/html_writer.hpp"
#include "trammel/report/png.hpp"
#include "trammel/report/words.hpp"
#include "viewer_files.hpp"

namespace trammel {
namespace {

constexpr double kViewWidth = 900.0, kViewHeight = 560.0;

std::string mark_of_changes(ChangesOutcome outcome) {
  if (outcome == ChangesOutcome::Unchanged) return mark_html(Outcome::Pass);
  if (outcome == ChangesOutcome::Undecided) return mark_html(Outcome::Undecided);
  return "<svg viewBox=\"-25 -25 50 50\" aria-hidden=\"true\" fill=\"none\" stroke=\"#ffffff\" "
         "stroke-width=\"4.4\"><circle stroke=\"none\" fill=\"#5d6166\" r=\"25\"/><path "
         "d=\"M-11-5H11M-11 5H11M-6 12L6-12\"/></svg>";
}

std::string tone_of_changes(ChangesOutcome outcome) {
  if (outcome == ChangesOutcome::Unchanged) return "pass";
  return outcome == ChangesOutcome::Undecided ? "undecided" : "changed";
}

/// The picture, and over it balloons as drawing: they stay sharp at any size.
std::string view_html(const Changes& c, const Splats& splats, const View& view) {
  const ChangesFigure figure = changes_figure(c, splats, view, kViewWidth, kViewHeight, 1.5);
  const auto at = [](const Eigen::Vector2d& p) { return fixed(p.x(), 1) + " " + fixed(p.y(), 1); };
  std::string svg = "<svg viewBox=\"0 0 900 560\" role=\"img\" aria-label=\"" +
                    html_escaped("The surface " + view_title(view)) + "\">\n<image x=\"" +
                    fixed(figure.place.low.x(), 1) + "\" y=\"" + fixed(figure.place.low.y(), 1) +
                    "\" width=\"" + fixed(figure.place.width(), 1) + "\" height=\"" +
                    fixed(figure.place.height(), 1) + "\" href=\"data:image/png;base64," +
                    base64(png_of(figure.picture)) + "\"/>\n";
  for (std::size_t i = 0; i < figure.balloons.size(); ++i) {
    const Balloon& balloon = figure.balloons[i];
    if (!balloon.placed) continue;
    svg += "<path d=\"M" + at(balloon.leader_start) + "L" + at(figure.anchors[i]) +
           "\" stroke=\"#1d1f21\"/><circle cx=\"" + fixed(balloon.center.x(), 1) + "\" cy=\"" +
           fixed(balloon.center.y(), 1) +
           "\" r=\"9\" fill=\"#ffffff\" stroke=\"#1d1f21\"/><text x=\"" +
           fixed(balloon.center.x(), 1) + "\" y=\"" + fixed(balloon.center.y() + 3.6, 1) +
           "\" font-size=\"10\" font-weight=\"bold\" text-anchor=\"middle\" fill=\"#1d1f21\">" +
           std::to_string(c.changes[i].id) + "</text>\n";
  }
  return "<figure><div class=\"view\">" + svg + "</svg></div><figcaption class=\"second\">" +
         html_escaped(view_title(view)) + "</figcaption></figure>\n";
}

std::string entries_html(const FrontColumn& column) {
  std::string html;
  for (const FrontEntry& entry : column.entries) {
    html += "<li class=\"entry\">";
    if (!entry.balloon.empty())
      html += "<span class=\"balloon\">" + html_escaped(entry.balloon) + "</span>";
    html += "<span>";
    if (!entry.title.empty()) html += "<strong>" + html_escaped(entry.title) + "</strong>";
    html += "<small>" + html_escaped(entry.detail) + "</small></span></li>\n";
  }
  return html;
}

std::string keys_html(const Changes& c) {
  std::string html;
  const auto key = [&](Rgb colour, const std::string& words) {
    html += "<span class=\"swatch\" style=\"background:" + css_colour(colour) + "\"></span> " +
            html_escaped(words) + " \n";
  };
  for (const auto& [colour, words] : changes_keys(c))
    key(colour, words);
  return html +
         "<span class=\"swatch hatch\"></span> only the old scan shows it; dotted: only the "
         "new one; mm";
}

std::string trust_html(const Changes& c) {
  std::string html;
  for (const auto& [name, words] : changes_trust(c))
    html += "<dt>" + html_escaped(name) + "</dt><dd>" + html_escaped(words) + "</dd>\n";
  return html;
}

}  // namespace

std::string changes_html(const Changes& c) {
  const Splats splats = splats_of(c);
  std::string views;
  for (const View& view : changes_views(c))
    views += view_html(c, splats, view);
  HtmlWriter tables;
  write_changes_tables(tables, c);
  const FrontColumn column = changes_column(c);
  const std::string files = c.new_file.file + " beside " + c.old_file.file;
  return filled(kChangesPage,
                {{"policy", page_policy()},
                 {"version", html_escaped(c.run.version)},
                 {"title", html_escaped(files + ": " + outcome_name(c.outcome))},
                 {"style", kViewerStyle},
                 {"mark", mark_of_changes(c.outcome)},
                 {"outcome", tone_of_changes(c.outcome)},
                 {"word", changes_word(c.outcome)},
                 {"sentence", html_escaped(changes_sentence(c))},
                 {"files", html_escaped(files)},
                 {"date", html_escaped(date_words(c.run.date))},
                 {"heading", html_escaped(column.heading)},
                 {"entries", entries_html(column)},
                 {"trust", trust_html(c)},
                 {"views", views},
                 {"keys", keys_html(c)},
                 {"tables", tables.html()},
                 {"caution", caution_words()},
                 {"foot", html_escaped("trammel " + c.run.version +
                                       " · sheet.pdf and result.json hold the same figures")}});
}

}  // namespace trammel
