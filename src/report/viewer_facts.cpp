#include "trammel/report/viewer_facts.hpp"

#include <cmath>
#include <nlohmann/json.hpp>

#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/report/histogram.hpp"
#include "trammel/report/html_text.hpp"
#include "trammel/report/sheet_marks.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

using Json = nlohmann::ordered_json;

Json numbers_of(const Eigen::Vector3d& value) {
  return Json::array({value.x(), value.y(), value.z()});
}

Json band_facts(const Band& band, const std::string& name, int decimals) {
  return {{"name", printable(name)},
          {"over", band.over_mm},
          {"under", band.under_mm},
          {"words", band_words(band, decimals)}};
}

Json bands_facts(const SheetContext& context) {
  const Plan& plan = context.inspection.plan;
  Json bands = Json::array({band_facts(plan.band, "", context.decimals)});
  for (const Zone& zone : plan.zones)
    bands.push_back(band_facts(zone.band, zone.name, context.decimals));
  return bands;
}

Json views_facts(const SheetContext& context) {
  Json views = Json::array();
  for (const View& view : context.views)
    views.push_back({{"title", view_title(view)}, {"towards", numbers_of(view.towards)}});
  return views;
}

/// Region 0 stands for "none of them": a hole or a slot.
Json finding_facts(const SheetContext& context, const Finding& finding) {
  const Verdict& verdict = context.inspection.verdict;
  Json facts = {{"mark", mark_of(finding)},
                {"label", finding.label},
                {"balloon", context.balloon(finding)},
                {"title", finding.title},
                {"detail", finding.detail},
                {"tone", is_opening(finding) ? outcome_name(finding.outcome) : "plain"}};
  if (is_opening(finding)) {
    const auto& drawn = context.openings[opening_at(verdict, finding)].drawn;
    facts["region"] = 0;
    facts["center"] = numbers_of(drawn[0].center_mm);
    facts["normal"] = numbers_of(drawn[0].axis);
    facts["rims"] = Json::array({numbers_of(drawn[0].center_mm), numbers_of(drawn[1].center_mm)});
    facts["radius"] = drawn[0].radius_mm;
    facts["straight"] = numbers_of(drawn[0].half_straight_mm);
  } else {
    const Region& region = verdict.regions[finding.index];
    facts["region"] = region.id;
    facts["center"] = numbers_of(region.center_mm);
    facts["normal"] = numbers_of(region.normal);
  }
  return facts;
}

/// A flaw has words and a place, but no balloon: what it moved is told by the regions.
Json flaw_facts(const Flaw& flaw, std::size_t index) {
  return {{"mark", mark_of_flaw(index)},
          {"label", "What went wrong"},
          {"title", printable(flaw.words) + "."},
          {"detail", printable(flaw.action)},
          {"tone", "plain"},
          {"flaw", true},
          {"region", 0},
          {"center", numbers_of(flaw.center_mm)},
          {"normal", numbers_of(flaw.normal)}};
}

/// Findings that have a place, worst first, then the good holes and slots, then what went wrong as
/// a whole.
Json findings_facts(const SheetContext& context) {
  const Inspection& inspection = context.inspection;
  Json all = Json::array();
  for (const Finding& finding : context.found)
    if (has_place(finding)) all.push_back(finding_facts(context, finding));
  for (const Opening& opening : context.openings) {
    if (opening.outcome != Outcome::Pass) continue;
    all.push_back(
        finding_facts(context, finding_as_planned(inspection, opening.subject, opening.index)));
  }
  const auto& flaws = inspection.verdict.flaws;
  for (std::size_t i = 0; i < flaws.size(); ++i)
    all.push_back(flaw_facts(flaws[i], i));
  return all;
}

Json ring_facts(const Ring& ring, Rgb colour) {
  return {{"center", numbers_of(ring.center_mm)},
          {"axis", numbers_of(ring.axis)},
          {"radius", ring.radius_mm},
          {"straight", numbers_of(ring.half_straight_mm)},
          {"colour", css_colour(colour)}};
}

/// Where each hole and slot should be in thin grey, where a bad one is in its colour, on both
/// sides.
Json rings_facts(const SheetContext& context) {
  Json rings = Json::array();
  for (const Opening& opening : context.openings) {
    for (const std::size_t side : {0U, 1U}) {
      rings.push_back(ring_facts(opening.drawn[side], kSecondInk));
      if (opening.outcome == Outcome::Pass || !opening.measured) continue;
      rings.push_back(ring_facts(opening.found[side], balloon_colour(true, opening.outcome)));
    }
  }
  return rings;
}

Json scale_facts(const SheetContext& context, const ViewerMesh& mesh) {
  const Box box = bounding_box(context.inspection.surface.cells.vertices_mm);
  return {{"origin", numbers_of(mesh.origin_mm)}, {"placeStep", mesh.place_step_mm},
          {"readingStep", mesh.reading_step_mm},  {"unseen", kUnseenReading},
          {"decimals", context.decimals},         {"low", numbers_of(box.low_mm)},
          {"high", numbers_of(box.high_mm)}};
}

/// What the script needs of the points; words are in the order of `Reading`.
Json scan_facts(const ViewerPoints& points) {
  Json words = Json::array();
  for (const Reading reading : {Reading::Measured, Reading::Inside, Reading::TooFar,
                                Reading::Beside, Reading::Stray, Reading::BorderEdge})
    words.push_back(set_aside_words(reading));
  return {{"origin", numbers_of(points.origin_mm)},  {"placeStep", points.place_step_mm},
          {"readingStep", points.reading_step_mm},   {"apart", points.apart_mm},
          {"asideColour", css_colour(kNotMeasured)}, {"asideWords", words}};
}

}  // namespace

std::string viewer_facts(const SheetContext& context, const ViewerMesh& mesh,
                         const ViewerPoints& points) {
  Json facts = scale_facts(context, mesh);
  const Band drawn = drawn_band(context.inspection.plan.band);
  facts["legend"] = {{"low", -kBandsASide * drawn.under_mm},
                     {"high", kBandsASide * drawn.over_mm},
                     {"over", drawn.over_mm},
                     {"under", drawn.under_mm}};
  facts["colours"] = Json::array();
  for (int step = -kLastStep; step <= kLastStep; ++step)
    facts["colours"].push_back(css_colour(colour_of_step(step)));
  facts["stepStarts"] = Json::array();
  for (int step = 1; step <= kLastStep; ++step)
    facts["stepStarts"].push_back(step_start(step));
  facts["edgeColour"] = css_colour(kEdge);
  facts["bands"] = bands_facts(context);
  facts["views"] = views_facts(context);
  facts["findings"] = findings_facts(context);
  facts["rings"] = rings_facts(context);
  facts["scan"] = scan_facts(points);
  return json_for_html(facts.dump(-1, ' ', false, Json::error_handler_t::replace));
}

std::string shown_words(const ViewerMesh& mesh) {
  const auto count = [](std::size_t n) { return grouped(static_cast<long long>(n)); };
  const auto up = [](double mm) { return fixed(std::ceil(mm * 1e4) / 1e4, 4) + " mm"; };
  const bool all = mesh.size() == mesh.cells_of_design;
  return std::string("The picture shows the design's surface in ") + count(mesh.size()) +
         (all ? " pieces"
              : " pieces, joined from the " + count(mesh.cells_of_design) + " that were judged") +
         ": readings within " + up(mesh.reading_error_mm) + " and places within " +
         up(mesh.place_error_mm) +
         " of those that were judged. A piece's reading is the median of the "
         "scan around it.";
}

}  // namespace trammel
