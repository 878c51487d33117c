#include "trammel/report/overview_html.hpp"

#include <algorithm>
#include <cctype>

#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/report/front_words.hpp"
#include "trammel/report/html_parts.hpp"
#include "trammel/report/html_text.hpp"
#include "trammel/report/html_writer.hpp"
#include "trammel/report/overview_trend.hpp"
#include "trammel/report/words.hpp"
#include "viewer_files.hpp"

namespace trammel {
namespace {

std::string cell(const std::string& head, const std::string& html,
                 const std::string& classes = "") {
  return "<td data-head=\"" + head + "\"" + (classes.empty() ? "" : " class=\"" + classes + "\"") +
         ">" + html + "</td>";
}

std::string picture_cell(const OverviewEntry& entry) {
  if (entry.picture_png.empty()) return cell("", "", "small");
  return cell("",
              "<a href=\"" + link_to(entry.folder + "/sheet.html") +
                  "\" tabindex=\"-1\"><img alt=\"\" src=\"data:image/png;base64," +
                  base64(entry.picture_png) + "\"></a>",
              "small");
}

std::string name_cell(const OverviewEntry& entry) {
  const std::string name = html_escaped(entry.scan);
  if (entry.state != ScanState::Checked) return cell("scan", "<strong>" + name + "</strong>");
  return cell("scan", "<a href=\"" + link_to(entry.folder + "/sheet.html") + "\"><strong>" + name +
                          "</strong></a><small><a href=\"" + link_to(entry.folder + "/sheet.pdf") +
                          "\">sheet.pdf</a></small>");
}

std::string verdict_cell(const OverviewEntry& entry) {
  if (!entry.outcome) {
    const bool waits = entry.state == ScanState::Waiting;
    return cell("verdict", waits ? "not checked yet" : "no sheet", waits ? "" : "bold fail");
  }
  return cell("verdict",
              "<span class=\"mark\">" + mark_html(*entry.outcome) + "</span>" +
                  verdict_word(*entry.outcome),
              "bold verdict-word " + outcome_name(*entry.outcome));
}

std::string reading_html(const NearestReading& reading, int decimals) {
  if (!reading.found) return "\u2013";
  return signed_fixed(reading.deviation_mm, decimals) + "<small>of " +
         fixed(reading.limit_mm, std::max(2, decimals)) + "</small>";
}

std::string hole_html(const OverviewEntry& entry) {
  if (!entry.hole) return "\u2013";
  return fixed(entry.hole->position_mm, entry.decimals) + "<small>of " +
         fixed(entry.hole->allowed_mm, std::max(2, entry.decimals)) + ", " +
         html_escaped(entry.hole->name) + "</small>";
}

std::string bolts_html(const OverviewEntry& entry) {
  if (!entry.bolts_up) return "\u2013";
  if (*entry.bolts_up == Outcome::Pass) return "yes";
  return *entry.bolts_up == Outcome::Fail ? "no" : "not sure";
}

std::string row_html(const OverviewEntry& entry, std::size_t number) {
  const std::string id = std::to_string(number);
  const bool checked = entry.state == ScanState::Checked;
  std::string html =
      "<tr id=\"scan-" + id + "\">" + cell("no.", id) + picture_cell(entry) + name_cell(entry) +
      verdict_cell(entry) +
      cell("worst finding", html_escaped(checked ? entry.worst : entry.error), "words");
  if (!checked) return html + "<td colspan=\"5\" class=\"rest\"></td></tr>\n";
  html += cell("proud, mm", reading_html(entry.proud, entry.decimals), "end");
  html += cell("shy, mm", reading_html(entry.shy, entry.decimals), "end");
  html += cell("worst hole, mm", hole_html(entry), "end");
  html += cell("bolts up", bolts_html(entry));
  html += cell("seen",
               percent_words(entry.seen_fraction) + "<small>U " +
                   fixed(entry.uncertainty_mm, std::max(2, entry.decimals)) + " mm</small>",
               "end");
  return html + "</tr>\n";
}

std::string rows_html(const Overview& overview) {
  std::string html;
  for (std::size_t i = 0; i < overview.entries.size(); ++i)
    html += row_html(overview.entries[i], i + 1);
  return html;
}

/// The drawing with its heading and key, or nothing.
std::string trend_html(const Overview& overview) {
  const std::string svg = trend_svg(overview);
  if (svg.empty()) return {};
  const bool holes = std::any_of(overview.entries.begin(), overview.entries.end(),
                                 [](const OverviewEntry& entry) { return bool(entry.hole); });
  return "<section aria-label=\"Trend\">\n<h2>Worst readings, scan by scan</h2>\n<div "
         "class=\"wide\"><div class=\"trend\">\n" +
         svg +
         "</div></div>\n<p class=\"second\">Each as a share of what is allowed there: grey is "
         "inside the limits. Disc: pass, octagon: fail, diamond: undecided" +
         (holes ? "; ring: the worst hole, its position against its zone" : "") +
         ". A cross: no reading that can be trusted. An arrow: beyond what is drawn.</p>\n"
         "</section>\n";
}

std::string origin_words(const Overview& overview) {
  const std::string plan =
      overview.plan.empty() ? "band from the command line" : "plan " + overview.plan;
  return html_escaped(plan + ", " + date_words(overview.run.date));
}

}  // namespace

std::string link_to(std::string_view name) {
  constexpr std::string_view kDigits = "0123456789ABCDEF";
  std::string out = "./";
  for (const char c : name) {
    const auto byte = static_cast<unsigned char>(c);
    const bool plain = byte < 128 && (std::isalnum(byte) != 0 ||
                                      std::string_view("-._~/").find(c) != std::string_view::npos);
    if (plain) {
      out += c;
    } else {
      out += '%';
      out += kDigits[byte >> 4U];
      out += kDigits[byte & 15U];
    }
  }
  return out;
}

std::string overview_html(const Overview& overview) {
  const Outcome outcome = outcome_of(overview);
  return filled(kOverviewPage,
                {{"policy", page_policy()},
                 {"version", html_escaped(overview.run.version)},
                 {"title", html_escaped(overview.part + ": " + overview_sentence(overview))},
                 {"style", kViewerStyle},
                 {"own_style", kOverviewStyle},
                 {"mark", mark_html(outcome)},
                 {"outcome", outcome_name(outcome)},
                 {"word", verdict_word(outcome)},
                 {"sentence", html_escaped(overview_sentence(overview))},
                 {"part", html_escaped(overview.part)},
                 {"origin", origin_words(overview)},
                 {"trend", trend_html(overview)},
                 {"rows", rows_html(overview)},
                 {"caution", caution_words()},
                 {"command", html_escaped(overview.run.command_line)},
                 {"foot", html_escaped("trammel " + overview.run.version +
                                       " \u00b7 decision rule ISO 14253-1 \u00b7 overview.csv and "
                                       "overview.json hold the same figures")}});
}

}  // namespace trammel
