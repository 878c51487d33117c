#include "trammel/report/feature_tables.hpp"

#include <algorithm>
#include <cmath>
#include <utility>

#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/model/words.hpp"
#include "trammel/report/brief_names.hpp"
#include "trammel/report/findings.hpp"
#include "trammel/report/form_words.hpp"
#include "trammel/report/sheet_marks.hpp"
#include "trammel/report/slot_tables.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

std::string optional_words(const std::optional<double>& value, int decimals) {
  return value ? fixed(*value, decimals) : std::string("not read");
}

/// "0.31 +X −Y"; no direction for what rounds to nothing.
std::string offset_cell(const Eigen::Vector3d& offset_mm, int decimals) {
  const std::string length = fixed(offset_mm.norm(), decimals);
  return length == fixed(0.0, decimals) ? length : length + " " + axes_words(offset_mm);
}

TableRow hole_row(const Inspection& inspection, std::size_t index, int decimals) {
  const HoleResult& hole = inspection.verdict.holes[index];
  const HoleCheck* check = check_of(inspection.plan, hole.name);
  const bool placed = check != nullptr && check->position_mm.has_value();
  const bool sized = check != nullptr && check->diameter_mm.has_value();
  const std::string none = "\u2013";
  const std::string offset = hole.offset_mm ? offset_cell(*hole.offset_mm, decimals) : none;
  const std::string name = (hole.kind == RoundKind::Pin ? "pin " : "") + printable(hole.name);
  return {{name, kInk, true, mark_of_hole(index)},
          {point_words(hole.nominal_mm)},
          {optional_words(hole.position_mm, decimals)},
          {placed ? fixed(*check->position_mm, std::max(2, decimals)) : none},
          {offset},
          {optional_words(hole.diameter_mm, decimals)},
          {sized ? fixed(check->diameter_mm->low_mm, decimals) + " to " +
                       fixed(check->diameter_mm->high_mm, decimals)
                 : none},
          verdict_cell(hole.outcome)};
}

/// Empty where the axis does not lean beyond doubt.
std::string tilt_words(const HoleResult& hole, int decimals) {
  if (!hole.tilt_mm || !(hole.depth_mm > 0.0)) return {};
  const double angle_deg = std::atan2(*hole.tilt_mm, hole.depth_mm) / kDegree;
  return "its axis leans by " + fixed(angle_deg, 1) + "\u00b0, " + fixed(*hole.tilt_mm, decimals) +
         " mm over its " + fixed(hole.depth_mm, 1) + " mm";
}

/// Why a hole does not pass, and how it leans; once for all of which the same is to be said.
void tell_of_holes(SheetWriter& flow, const SheetContext& context) {
  const auto& holes = context.inspection.verdict.holes;
  std::vector<std::pair<std::string, std::vector<std::string>>> notes;
  for (std::size_t i = 0; i < std::min(holes.size(), kMostTableRows); ++i) {
    std::string words = tilt_words(holes[i], context.decimals);
    if (holes[i].outcome != Outcome::Pass && !holes[i].reasons.empty())
      words = printable(holes[i].reasons.front()) + (words.empty() ? "" : "; ") + words;
    if (words.empty()) continue;
    const auto same = std::find_if(notes.begin(), notes.end(),
                                   [&](const auto& note) { return note.first == words; });
    if (same == notes.end())
      notes.push_back({words, {printable(holes[i].name)}});
    else
      same->second.push_back(printable(holes[i].name));
  }
  for (const auto& [words, names] : notes)
    flow.paragraph(with_brief_names(context.inspection.verdict, list_words(names, names.size())) +
                   ": " + words);
}

void draw_holes(SheetWriter& flow, const SheetContext& context) {
  const auto& holes = context.inspection.verdict.holes;
  if (holes.empty()) return;
  const auto is_pin = [](const HoleResult& hole) { return hole.kind == RoundKind::Pin; };
  const auto pins = std::count_if(holes.begin(), holes.end(), is_pin);
  const auto all = static_cast<std::ptrdiff_t>(holes.size());
  flow.heading(pins == 0 ? "Holes" : pins == all ? "Pins" : "Holes and pins", 30.0);
  std::vector<TableRow> rows;
  for (std::size_t i = 0; i < std::min(holes.size(), kMostTableRows); ++i)
    rows.push_back(hole_row(context.inspection, i, context.decimals));
  flow.table({{"name", 66.0},
              {"should be at", 110.0},
              {"position, mm", 60.0, Anchor::End},
              {"allowed", 42.0, Anchor::End},
              {"off by, towards", 80.0},
              {"size, mm", 46.0, Anchor::End},
              {"allowed", 69.0},
              {"verdict", 50.0}},
             rows);
  tell_of_more(flow, holes.size());
  tell_of_holes(flow, context);
}

/// A line a distance or form: what it was measured as, and why it does not pass.
template <class Result>
void tell_how_measured(SheetWriter& flow, const std::vector<Result>& results) {
  for (std::size_t i = 0; i < std::min(results.size(), kMostTableRows); ++i) {
    const Result& result = results[i];
    const bool say_why = result.outcome != Outcome::Pass && !result.reasons.empty();
    flow.paragraph(printable(result.name) + ": " + printable(result.measured_as) +
                   (say_why ? "; " + printable(result.reasons.front()) : "") + ".");
  }
}

std::string lean_words(const std::optional<double>& lean_rad) {
  return lean_rad ? fixed(*lean_rad / kDegree, 2) + "\u00b0" : std::string("\u2013");
}

TableRow distance_row(const DistanceResult& distance, int decimals) {
  const std::string none = "\u2013";
  const std::string allowed = distance.least_mm ? fixed(*distance.least_mm, decimals) + " to " +
                                                      fixed(*distance.most_mm, decimals)
                                                : none;
  return {{printable(distance.name), kInk, true},
          {distance.nominal_mm ? fixed(*distance.nominal_mm, decimals) : none},
          {allowed},
          {distance.tolerance_class.empty() ? none : printable(distance.tolerance_class)},
          {optional_words(distance.actual_mm, decimals)},
          {distance.actual_mm ? fixed(distance.uncertainty_mm, std::max(2, decimals)) : none},
          {lean_words(distance.lean_rad)},
          verdict_cell(distance.outcome)};
}

void draw_distances(SheetWriter& flow, const SheetContext& context) {
  const auto& distances = context.inspection.verdict.distances;
  if (distances.empty()) return;
  flow.heading("Distances", 30.0);
  std::vector<TableRow> rows;
  for (std::size_t i = 0; i < std::min(distances.size(), kMostTableRows); ++i)
    rows.push_back(distance_row(distances[i], context.decimals));
  flow.table({{"name", 96.0},
              {"nominal, mm", 58.0, Anchor::End},
              {"allowed", 96.0},
              {"class", 70.0},
              {"measured, mm", 64.0, Anchor::End},
              {"U, mm", 46.0, Anchor::End},
              {"lean", 43.0, Anchor::End},
              {"verdict", 50.0}},
             rows);
  tell_of_more(flow, distances.size());
  tell_how_measured(flow, distances);
}

TableRow form_row(const FormResult& form) {
  const std::string none = "\u2013", allowed = form_allowed(form);
  return {{printable(form.name), kInk, true},
          {form_name(form.kind)},
          {allowed.empty() ? none : allowed},
          {form.tolerance_class.empty() ? none : printable(form.tolerance_class)},
          {form_measured(form)},
          {form.actual ? form_figure(form.uncertainty, form.kind, form.uncertainty) : none},
          verdict_cell(form.outcome)};
}

void draw_forms(SheetWriter& flow, const SheetContext& context) {
  const auto& forms = context.inspection.verdict.forms;
  if (forms.empty()) return;
  flow.heading("Form of faces, angles and walls", 30.0);
  std::vector<TableRow> rows;
  for (std::size_t i = 0; i < std::min(forms.size(), kMostTableRows); ++i)
    rows.push_back(form_row(forms[i]));
  flow.table({{"name", 92.0},
              {"what", 76.0},
              {"allowed", 96.0},
              {"class", 66.0},
              {"measured", 94.0, Anchor::End},
              {"U", 49.0, Anchor::End},
              {"verdict", 50.0}},
             rows);
  tell_of_more(flow, forms.size());
  tell_how_measured(flow, forms);
}

std::string other_hole_words(const OtherHole& hole) {
  const std::string why = hole.reason.empty() ? "" : ": " + printable(hole.reason);
  return state_name(hole.state) + why;
}

TableRow other_hole_row(const OtherHole& hole, int decimals) {
  const std::string none = "\u2013";
  const std::string offset = hole.offset_mm ? offset_cell(*hole.offset_mm, decimals) : none;
  return {{point_words(hole.center_mm)},
          {fixed(hole.drawn_diameter_mm, decimals)},
          {hole.diameter_mm ? fixed(*hole.diameter_mm, decimals) : none},
          {offset},
          {other_hole_words(hole)}};
}

void draw_other_holes(SheetWriter& flow, const SheetContext& context) {
  const auto& holes = context.inspection.verdict.other_holes;
  if (holes.empty()) return;
  flow.heading("Other holes of the design: listed, not judged", 30.0);
  std::vector<TableRow> rows;
  for (std::size_t i = 0; i < std::min(holes.size(), kMostTableRows); ++i)
    rows.push_back(other_hole_row(holes[i], context.decimals));
  flow.table({{"should be at", 110.0},
              {"drawn, mm", 50.0, Anchor::End},
              {"size, mm", 50.0, Anchor::End},
              {"off by, towards", 80.0},
              {"found", 233.0}},
             rows);
  tell_of_more(flow, holes.size());
}

void draw_bolt_ups(SheetWriter& flow, const SheetContext& context) {
  const auto& ups = context.inspection.verdict.bolt_ups;
  if (ups.empty()) return;
  std::vector<Fact> facts;
  for (const BoltUp& up : ups)
    facts.push_back({verdict_word(up.outcome), printable(up.words)});
  flow.heading("Will it bolt up", 30.0);
  flow.facts(facts);
}

TableRow mate_hole_row(const MateHole& hole, int decimals) {
  const std::string none = "\u2013";
  const bool measured = hole.is_measured();
  const std::string how = std::string(hole.is_stud ? "stud" : "hole") +
                          (hole.by_wall ? ", by its wall" : ", by its rim");
  return {{point_words(hole.at_mm)},
          {measured ? point_words(hole.center_mm) : none},
          {measured ? fixed(hole.center_error_mm, decimals + 1) : none},
          {measured ? fixed(hole.diameter_mm, decimals) : none},
          {measured ? how : "not measured"}};
}

/// In the mate's own coordinates.
void draw_mates(SheetWriter& flow, const SheetContext& context) {
  for (const Mate& mate : context.inspection.mates) {
    const std::string whose = mate.group.empty() ? "Where the bolts stand"
                                                 : "Where the bolts of " + mate.group + " stand";
    flow.heading(printable(whose) + ": measured in " + printable(mate.file), 30.0);
    std::vector<TableRow> rows;
    for (std::size_t i = 0; i < std::min(mate.holes.size(), kMostTableRows); ++i)
      rows.push_back(mate_hole_row(mate.holes[i], context.decimals));
    // A scan's own coordinates may be metres from its origin.
    flow.table({{"looked for near", 163.0},
                {"found at", 163.0},
                {"1 \u03c3, mm", 44.0, Anchor::End},
                {"size, mm", 48.0, Anchor::End},
                {"as", 105.0}},
               rows);
    tell_of_more(flow, mate.holes.size());
    for (std::size_t i = 0; i < rows.size(); ++i) {
      const MateHole& hole = mate.holes[i];
      if (!hole.is_measured())
        flow.paragraph("Near " + point_words(hole.at_mm) + ": " + printable(hole.reason));
    }
    flow.paragraph("U of one reading " + fixed(mate.uncertainty_mm, 3) +
                   " mm; places in its own coordinates, mm. SHA-256 " + mate.sha256);
  }
}

}  // namespace

void tell_of_more(SheetWriter& flow, std::size_t all, const std::string& what) {
  if (all > kMostTableRows) {
    flow.paragraph("And " + std::to_string(all - kMostTableRows) + " more" + what +
                   ", in result.json.");
  }
}

TableCell verdict_cell(Outcome outcome) {
  return {verdict_word(outcome), verdict_colour(outcome), outcome == Outcome::Fail};
}

void write_feature_tables(SheetWriter& flow, const SheetContext& context) {
  draw_holes(flow, context);
  write_slot_table(flow, context);
  draw_distances(flow, context);
  draw_forms(flow, context);
  draw_other_holes(flow, context);
  write_other_slots(flow, context);
  draw_bolt_ups(flow, context);
  draw_mates(flow, context);
}

}  // namespace trammel
