#include <algorithm>
#include <cmath>

#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/report/close_ups.hpp"
#include "trammel/report/feature_tables.hpp"
#include "trammel/report/flaw_table.hpp"
#include "trammel/report/front_words.hpp"
#include "trammel/report/paper_regions.hpp"
#include "trammel/report/sheet_flow.hpp"
#include "trammel/report/sheet_pages.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

constexpr std::size_t kMostNotes = 8;
constexpr std::size_t kCutTitle = 40;       ///< bytes; page 1 has two lines for it
constexpr double kHeadAndThreeRows = 49.0;  ///< of a table: fewer do not begin at a page's end

TableRow region_row(const Region& region, int decimals) {
  const auto limit_digits = std::max(2, decimals);
  const bool is_there = region.absence == Absence::None;
  const std::string none = "\u2013";
  return {{std::to_string(region.id), kInk, true, mark_of_region(region)},
          {is_there         ? kind_name(region.kind)
           : region.hole_mm ? "hole"
                            : "missing"},
          {is_there ? signed_fixed(region.peak_mm, decimals) : none},
          {is_there ? signed_fixed(region.mean_mm, decimals) : none},
          {fixed(region.limit_mm, limit_digits)},
          {area_words(region.area_mm2)},
          {point_words(region.center_mm)},
          {axes_words(region.normal)},
          {region.zone.empty() ? std::string("\u2013") : printable(region.zone)},
          verdict_cell(region.outcome)};
}

void draw_regions(SheetWriter& flow, const SheetContext& context) {
  const auto& regions = context.inspection.verdict.regions;
  flow.heading(regions_heading(context.inspection.verdict),
               regions.size() < 3 ? 30.0 : kHeadAndThreeRows);
  if (regions.empty()) {
    flow.paragraph("None: no patch of the surface that was seen stands outside its band.");
    return;
  }
  std::vector<TableRow> rows;
  for (std::size_t i = 0; i < regions.size(); ++i) {
    if (flow.is_paper() ? context.is_on_paper(i) : i < kMostTableRows)
      rows.push_back(region_row(regions[i], context.decimals));
  }
  flow.table({{"no.", 24.0},
              {"kind", 38.0},
              {"peak, mm", 46.0, Anchor::End},
              {"mean", 40.0, Anchor::End},
              {"allowed", 46.0, Anchor::End},
              {"area", 62.0, Anchor::End},
              {"around", 128.0},
              {"faces", 44.0},
              {"zone", 45.0},
              {"verdict", 50.0}},
             rows);
  if (!flow.is_paper()) return tell_of_more(flow, regions.size(), " places");
  const std::string rest = rest_of_regions(context.inspection.verdict, context.decimals);
  if (!rest.empty()) flow.paragraph(rest);
}

/// What was given to hold the part by, and how well it does.
void add_given(std::vector<Fact>& facts, const Alignment& alignment) {
  for (std::size_t i = 0; i < alignment.pairs.size(); ++i) {
    const PairResidual& pair = alignment.pairs[i];
    facts.push_back({"pair " + std::to_string(i + 1),
                     point_words(pair.design_mm) + ": " + fixed(pair.residual_mm, 2) +
                         " mm off in the best place for all pairs, " + fixed(pair.left_mm, 2) +
                         " mm as the part lies here"});
  }
  for (const DatumHold& datum : alignment.datums) {
    std::string words = (datum.feature.empty() ? "nothing" : datum.feature) + " at " +
                        point_words(datum.at_mm) + ": fixes " +
                        count_words(static_cast<std::size_t>(datum.motions)) + " of six motions, " +
                        percent_words(datum.seen) + " of it seen";
    if (datum.feature == "face" && datum.motions > 0)
      words += ", " + fixed(datum.form_mm, 2) + " mm between its highest and lowest patch";
    if (datum.touching > 0) words += ", rests on " + std::to_string(datum.touching) + " of them";
    facts.push_back({"datum " + printable(datum.label), words});
  }
}

void draw_alignment(SheetWriter& flow, const SheetContext& context) {
  const Alignment& alignment = context.inspection.alignment;
  std::vector<Fact> facts = {
      {"method", held_words(alignment) + "; " + alignment_words(context.inspection) + " over the " +
                     percent_words(alignment.overlap) + " of the scan that lies on the design, " +
                     std::to_string(alignment.iterations) + " steps"},
      {"held to", context.inspection.plan.method == AlignMethod::AsScanned
                      ? "where it lies is given by the plan: nothing was fitted"
                      : "\u00b1" + fixed(2.0 * alignment.standard_error_mm, 3) +
                            " mm at the corner of the part that is held least (k = 2)"}};
  add_given(facts, alignment);
  for (const std::string& direction : alignment.free_directions)
    facts.push_back({"free", printable(direction)});
  const std::size_t most = facts.size() + kMostNotes - 2;
  for (const OtherPose& other : alignment.others) {
    if (facts.size() < most) {
      facts.push_back(
          {"fits as well", printable(other.words) + ", " + fixed(other.rms_mm, 3) + " mm rms"});
    }
  }
  for (const std::string& doubt : alignment.doubts)
    facts.push_back({"doubt", printable(doubt)});
  if (alignment.scale.standard_error > 0.0) {
    const double percent = 100.0 * (alignment.scale.uniform - 1.0);
    facts.push_back({"scale", "the scan is " + fixed(std::abs(percent), 2) + " % \u00b1 " +
                                  fixed(200.0 * alignment.scale.standard_error, 2) + " % " +
                                  (percent < 0.0 ? "smaller" : "larger") + " than the design" +
                                  (context.inspection.verdict.flaws.empty()
                                       ? ""
                                       : ", what went wrong beside counted in") +
                                  "; told, never taken out"});
  }
  flow.heading("How the scan was set onto the design", 40.0);
  flow.facts(facts);
}

void draw_coverage(SheetWriter& flow, const SheetContext& context) {
  const Inspection& inspection = context.inspection;
  const Coverage& coverage = inspection.verdict.coverage;
  const TidyCounts& tidy = inspection.tidy;
  const auto points = [](std::size_t count) { return grouped(static_cast<long long>(count)); };
  const auto read = [&](Reading kind) { return points(count_of(inspection.deviations, kind)); };
  flow.heading("What was seen", 40.0);
  flow.facts(
      {{"surface", area_words(coverage.seen_area_mm2) + " of " +
                       area_words(coverage.design_area_mm2) + " (" +
                       percent_words(coverage.seen_fraction) + "); the plan asks for " +
                       percent_words(inspection.plan.least_coverage) +
                       ". What was not seen is hatched and never counts as good."},
       {"scan points", points(tidy.read) + " read, " + points(tidy.kept) + " kept; taken away: " +
                           points(tidy.not_finite) + " without a number, " + points(tidy.repeated) +
                           " repeated, " + points(tidy.isolated) + " alone in space" +
                           (tidy.spare == 0 ? std::string()
                                            : ", " + points(tidy.spare) +
                                                  " closer to others than any reading needs")},
       {"readings", read(Reading::Measured) + " on the surface, " + read(Reading::Inside) +
                        " inside the material, " + read(Reading::TooFar) + " too far off, " +
                        read(Reading::Beside) + " of no face, " + read(Reading::Stray) +
                        " stray, " + read(Reading::BorderEdge) + " at an open edge"},
       {"scan unit", printable(inspection.units.unit) + ": " + printable(inspection.units.reason) +
                         (inspection.units.certain ? "" : "; another unit fits about as well")}});
}

void draw_uncertainty(SheetWriter& flow, const SheetContext& context) {
  const UncertaintyBudget& budget = context.inspection.verdict.uncertainty;
  const DeviationSummary& summary = context.inspection.verdict.summary;
  const std::string reading = "\u00b1" + fixed(budget.expanded_mm, std::max(2, context.decimals)) +
                              " mm (U, k = 2), " +
                              (budget.from_plan ? "given in the plan" : "estimated from the scan");
  std::vector<Fact> facts = {
      {"one reading", reading},
      {budget.from_plan ? "scan shows" : "made of",
       "noise " + fixed(budget.noise_mm, 3) + ", alignment " + fixed(budget.alignment_mm, 3) +
           ", coating " + fixed(budget.coating_mm, 3) + " mm (1 \u03c3 each)"},
      {"decision rule",
       "ISO 14253-1: pass only where a value with U to both sides lies inside its limits, fail "
       "only where it lies outside with U to both sides, otherwise undecided"}};
  if (summary.count > 0) {
    const int digits = context.decimals + 1;
    facts.push_back({"all readings", "mean " + signed_fixed(summary.mean_mm, digits) +
                                         ", standard deviation " +
                                         fixed(summary.stddev_mm, digits) + ", 5 % below " +
                                         signed_fixed(summary.p05_mm, digits) + ", median " +
                                         signed_fixed(summary.median_mm, digits) + ", 95 % below " +
                                         signed_fixed(summary.p95_mm, digits) + ", from " +
                                         signed_fixed(summary.min_mm, digits) + " to " +
                                         signed_fixed(summary.max_mm, digits) + " mm"});
  }
  flow.heading("How sure a reading is, and how it was decided", 40.0);
  flow.facts(facts);
}

void draw_origin(SheetWriter& flow, const SheetContext& context) {
  const Inspection& inspection = context.inspection;
  const Eigen::Vector3d size = bounding_box(inspection.design.mesh.vertices_mm).size_mm();
  std::vector<Fact> facts = {
      {"design", printable(inspection.design.file) + ", " + fixed(size.x(), 1) + " \u00d7 " +
                     fixed(size.y(), 1) + " \u00d7 " + fixed(size.z(), 1) + " mm, " +
                     grouped(inspection.design.triangles_read) + " triangles, " +
                     (inspection.design.health.closed ? "closed" : "open at its edges") +
                     ", SHA-256 " + inspection.design.sha256}};
  const Plan& plan = inspection.plan;
  if (const std::string title = part_title(inspection); title.size() > kCutTitle)
    facts.insert(facts.begin(), {"part", title});
  const auto with_hash = [](const std::string& name, const std::string& sha256) {
    return printable(name) + (sha256.empty() ? "" : ", SHA-256 " + sha256);
  };
  if (!plan.file.empty())
    facts.push_back({"plan", with_hash(plan.file.filename().u8string(), plan.sha256)});
  facts.push_back({"scan", with_hash(inspection.source.file, inspection.source.sha256)});
  if (const std::string made = maker_words(inspection.plan); !made.empty())
    facts.push_back({"record", made});
  facts.push_back({"program", "trammel " + printable(inspection.run.version) + ", " +
                                  date_words(inspection.run.date)});
  facts.push_back({"to repeat", printable(inspection.run.command_line)});
  flow.heading("Where it comes from", 60.0);
  flow.facts(facts);
}

void draw_notes(SheetWriter& flow, const SheetContext& context) {
  const Inspection& inspection = context.inspection;
  std::vector<std::string> notes;
  for (const auto* some :
       {&inspection.notes, &inspection.design.health.repairs, &inspection.source.notes}) {
    for (const std::string& note : *some)  // a run has the notes of its scan's file as well
      if (std::find(notes.begin(), notes.end(), note) == notes.end()) notes.push_back(note);
  }
  if (notes.empty()) return;
  flow.heading("Notes", 24.0);
  std::vector<Fact> facts;
  for (std::size_t i = 0; i < std::min(notes.size(), kMostNotes); ++i)
    facts.push_back({i == 0 ? "to know" : "", printable(notes[i])});
  flow.facts(facts);
}

/// What page 1, with room for three of each, has left out.
void draw_rest_of_front(SheetWriter& flow, const SheetContext& context) {
  const Verdict& verdict = context.inspection.verdict;
  if (verdict.outcome == Outcome::Pass || verdict.outcome == Outcome::Listed) return;
  const bool failed = verdict.outcome == Outcome::Fail;
  std::vector<Fact> facts;
  for (std::size_t i = kFrontEntries; i < verdict.actions.size(); ++i)
    facts.push_back({failed ? "to do" : "settles it", printable(verdict.actions[i])});
  const std::vector<std::string> reasons = reasons_without_finding(context);
  const std::size_t taken = failed ? std::min(context.found.size(), kFrontEntries) : 0;
  for (std::size_t i = kFrontEntries - taken; i < reasons.size(); ++i)
    facts.push_back({failed ? "found" : "in doubt", printable(reasons[i])});
  if (facts.empty()) return;
  flow.heading(failed ? "More to do, and what else was found"
                      : "What else is in doubt, and what would settle it",
               30.0);
  flow.facts(facts);
}

}  // namespace

void write_tables(SheetWriter& flow, const SheetContext& context) {
  draw_rest_of_front(flow, context);
  draw_regions(flow, context);
  write_feature_tables(flow, context);
  write_flaw_table(flow, context);
  draw_alignment(flow, context);
  draw_coverage(flow, context);
  draw_uncertainty(flow, context);
  draw_origin(flow, context);
  draw_notes(flow, context);
}

void draw_table_pages(PdfCanvas& canvas, const SheetContext& context) {
  SheetFlow flow(canvas, context);
  draw_close_ups(flow, context);
  flow.fit([&](SheetWriter& writer) { write_tables(writer, context); });
}

}  // namespace trammel
