#include "trammel/base/text.hpp"
#include "trammel/report/front_words.hpp"
#include "trammel/report/html_parts.hpp"
#include "trammel/report/html_text.hpp"
#include "trammel/report/whole_part_words.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

std::string entry_html(const FrontEntry& entry) {
  std::string words = "<span>";
  if (!entry.title.empty()) words += "<strong>" + html_escaped(entry.title) + "</strong>";
  if (!entry.detail.empty()) words += "<small>" + html_escaped(entry.detail) + "</small>";
  words += "</span>";
  std::string front;
  if (!entry.balloon.empty()) {
    front = "<span class=\"balloon " + tone_of(entry.colour) + "\">" + html_escaped(entry.balloon) +
            "</span>";
  }
  if (entry.outcome) front = "<span class=\"answer\">" + mark_html(*entry.outcome) + "</span>";
  if (entry.mark.empty()) return "<li class=\"entry\">" + front + words + "</li>\n";
  return "<li><button type=\"button\" class=\"entry\" data-mark=\"" + html_escaped(entry.mark) +
         "\">" + front + words + "</button></li>\n";
}

std::string column_html(const FrontColumn& column) {
  std::string html = "<h2>" + html_escaped(column.heading) + "</h2>\n<ol>\n";
  for (const FrontEntry& entry : column.entries)
    html += entry_html(entry);
  return html + "</ol>\n";
}

}  // namespace

std::string mark_html(Outcome outcome) {
  const std::string open =
      "<svg viewBox=\"-25 -25 50 50\" aria-hidden=\"true\" fill=\"none\" stroke=\"#ffffff\" "
      "stroke-width=\"4.4\"><";
  const std::string fill = " stroke=\"none\" fill=\"" + css_colour(verdict_colour(outcome)) + "\"";
  switch (outcome) {
    case Outcome::Fail:
      return open + "path" + fill +
             " d=\"M-10.3-25H10.3L25-10.3V10.3L10.3 25H-10.3L-25 10.3V-10.3Z\"/>"
             "<path d=\"M-9-9L9 9M-9 9L9-9\"/></svg>";
    case Outcome::Undecided:
      return open + "path" + fill +
             " d=\"M0-25L25 0L0 25L-25 0Z\"/><path d=\"M-6.5-5a6.5 6.5 0 1 1 9 6q-2.5 1-2.5 5"
             "M0 9v4.4\"/></svg>";
    case Outcome::Pass:
    case Outcome::Listed: break;
  }
  return open + "circle" + fill + " r=\"25\"/><path d=\"M-10.5.5L-2.5 8.5L11.2-8.5\"/></svg>";
}

std::string whole_part_html(const SheetContext& context) {
  std::string html;
  const FrontColumn flaws = flaws_column(context);
  FrontColumn bolts = bolts_column(context);
  if (!flaws.entries.empty())
    html += "<section class=\"whole\">\n" + column_html(flaws) + "</section>\n";
  if (bolts.entries.empty()) return html;
  for (FrontEntry& opening : opening_entries(context))
    bolts.entries.push_back(std::move(opening));
  return html + "<section class=\"whole\">\n" + column_html(bolts) + "</section>\n";
}

std::string columns_html(const SheetContext& context) {
  std::string html = column_html(left_column(context)) + column_html(right_column(context));
  html += "<h2>May it be believed</h2>\n<dl class=\"trust\">\n";
  for (const auto& [name, words] : trust_lines(context)) {
    html += "<dt>" + html_escaped(name) + "</dt><dd>" + html_escaped(words) + "</dd>\n";
  }
  return html + "</dl>\n";
}

std::string origin_html(const SheetContext& context) {
  const Inspection& inspection = context.inspection;
  const std::string plan =
      inspection.plan.file.empty()
          ? "plan from the command line: " + band_words(inspection.plan.band, context.decimals)
          : "plan " + inspection.plan.file.filename().string();
  const std::string made = maker_words(inspection.plan);
  return html_escaped("scan " + inspection.source.file + ", " + date_words(inspection.run.date)) +
         "<br>" + html_escaped(plan) + (made.empty() ? "" : "<br>" + html_escaped(made));
}

}  // namespace trammel
