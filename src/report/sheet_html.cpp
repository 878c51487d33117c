#include "trammel/report/sheet_html.hpp"

#include "trammel/base/files.hpp"
#include "trammel/report/front_words.hpp"
#include "trammel/report/html_parts.hpp"
#include "trammel/report/html_text.hpp"
#include "trammel/report/html_writer.hpp"
#include "trammel/report/png.hpp"
#include "trammel/report/report.hpp"
#include "trammel/report/sheet_pages.hpp"
#include "trammel/report/viewer_facts.hpp"
#include "trammel/report/words.hpp"
#include "viewer_files.hpp"

namespace trammel {
namespace {

/// The hash by which a browser lets this very script run and no other (CSP level 2, script-src).
std::string script_hash(std::string_view script) {
  const std::string hex = sha256_hex(script);
  std::string bytes;
  for (std::size_t i = 0; i < hex.size(); i += 2)
    bytes += static_cast<char>(std::stoi(hex.substr(i, 2), nullptr, 16));
  return "'sha256-" + base64(bytes) + "'";
}

template <typename T>
void add_block(const char* name, const std::vector<T>& numbers, std::string& html) {
  html += std::string("<script type=\"text/plain\" id=\"numbers-") + name + "\">";
  html += base64(bytes_of(numbers));
  html += "</script>\n";
}

std::string blocks(const ViewerMesh& mesh, const ViewerPoints& points) {
  std::string html;
  html.reserve(40 * mesh.size() + 20 * points.size());
  add_block("places", mesh.places, html);
  add_block("corners", mesh.corners, html);
  add_block("corner-readings", mesh.corner_readings, html);
  add_block("readings", mesh.readings, html);
  add_block("regions", mesh.regions, html);
  add_block("bands", mesh.bands, html);
  add_block("edges", mesh.edges, html);
  add_block("scan-places", points.places, html);
  add_block("scan-normals", points.normals, html);
  add_block("scan-readings", points.readings, html);
  add_block("scan-regions", points.regions, html);
  add_block("scan-bands", points.bands, html);
  return html;
}

std::string foot_words(const Inspection& inspection) {
  return "trammel " + inspection.run.version +
         " \u00b7 decision rule ISO 14253-1 \u00b7 sheet.pdf and result.json hold the same figures";
}

}  // namespace

std::string sheet_html(const SheetContext& context, const ViewerMesh& mesh,
                       const ViewerPoints& points, const std::string& still) {
  const Inspection& inspection = context.inspection;
  const Outcome outcome = inspection.verdict.outcome;
  HtmlWriter tables;
  write_tables(tables, context);
  return filled(kViewerPage,
                {{"policy", page_policy("script-src " + script_hash(kViewerLibrary) + " " +
                                        script_hash(kViewerScript))},
                 {"version", html_escaped(inspection.run.version)},
                 {"title", html_escaped(part_title(inspection) + ": " + outcome_name(outcome))},
                 {"style", kViewerStyle},
                 {"mark", mark_html(outcome)},
                 {"outcome", outcome == Outcome::Listed ? "pass" : outcome_name(outcome)},
                 {"word", verdict_word(outcome)},
                 {"sentence", html_escaped(verdict_sentence(inspection))},
                 {"part", html_escaped(part_title(inspection))},
                 {"origin", origin_html(context)},
                 {"whole_part", whole_part_html(context)},
                 {"columns", columns_html(context)},
                 {"still", still_html(context, still)},
                 {"legend", legend_html(context)},
                 {"shown", shown_words(mesh) + " " + shown_words(points)},
                 {"tables", tables.html()},
                 {"caution", caution_words()},
                 {"foot", html_escaped(foot_words(inspection))},
                 {"facts", viewer_facts(context, mesh, points)},
                 {"blocks", blocks(mesh, points)},
                 {"library", kViewerLibrary},
                 {"script", kViewerScript}});
}

std::string sheet_html(const Inspection& inspection) {
  const SheetContext context(inspection);
  return sheet_html(context, viewer_mesh(inspection, context.painter.corners()),
                    viewer_points(inspection), png_of(draw_sheet(context).views.front()));
}

}  // namespace trammel
