#include "trammel/report/front_words.hpp"

#include <algorithm>
#include <cctype>
#include <cmath>

#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/report/brief_names.hpp"
#include "trammel/report/form_words.hpp"
#include "trammel/report/sheet_marks.hpp"
#include "trammel/report/slot_words.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

constexpr std::size_t kMostTitle = 110;  ///< letters that still read as a title: two lines or three

FrontEntry plain(std::string title, std::string detail) {
  return {{}, kInk, std::move(title), std::move(detail), {}};
}

FrontEntry entry_of(const SheetContext& context, const Finding& finding) {
  if (!has_place(finding)) return plain(finding.title, finding.detail);
  return {context.balloon(finding), balloon_colour(is_opening(finding), finding.outcome),
          finding.title, finding.detail, mark_of(finding)};
}

void tell_of_left_out(std::size_t left_out, std::vector<FrontEntry>& entries) {
  if (left_out == 0) return;
  std::string& detail = entries.back().detail;
  if (!detail.empty() && detail.back() != '.') detail += '.';
  detail += (detail.empty() ? "And " : " And ") + std::to_string(left_out) + " more in the tables.";
}

void add_findings(const SheetContext& context, std::vector<FrontEntry>& entries) {
  std::size_t left_out = 0;
  for (const Finding& finding : context.found) {
    if (entries.size() < kFrontEntries) {
      entries.push_back(entry_of(context, finding));
    } else {
      ++left_out;
    }
  }
  tell_of_left_out(left_out, entries);
}

/// The first clause as a title, the rest as detail; a short text is all title.
FrontEntry split_entry(const std::string& words) {
  const std::string text = capitalised(printable(words));
  for (const char* border : {": ", "; ", ". "}) {
    const std::size_t at = text.find(border);
    if (at == std::string::npos || at > kMostTitle || at + 2 >= text.size()) continue;
    return plain(text.substr(0, at), text.substr(at + 2));
  }
  return text.size() <= kMostTitle ? plain(text, {}) : plain({}, text);
}

bool names(const std::string& sentence, const std::string& name) {
  const std::size_t at = sentence.find(name);
  if (at == std::string::npos) return false;
  const std::size_t after = at + name.size();
  return after >= sentence.size() || std::isalnum(static_cast<unsigned char>(sentence[after])) == 0;
}

/// True when a sentence is about something that has a line of its own already: it names it as the
/// line's title does, with a large first letter or a small one.
bool is_about(const std::string& sentence, const Finding& finding) {
  const std::string word = finding.subject == Subject::Region
                               ? "Region"
                               : finding.title.substr(0, finding.title.find(' '));
  const std::string name = named(word, finding.label);
  return names(sentence, capitalised(name)) || names(sentence, uncapitalised(name));
}

void add_reasons(const SheetContext& context, std::vector<FrontEntry>& entries) {
  const std::vector<std::string> reasons = reasons_without_finding(context);
  std::size_t told = 0;
  for (; told < reasons.size() && entries.size() < kFrontEntries; ++told)
    entries.push_back(split_entry(
        trammel::with_brief_names(context.inspection.verdict, printable(reasons[told]))));
  if (told > 0) tell_of_left_out(reasons.size() - told, entries);
}

FrontColumn what_was_checked(const SheetContext& context) {
  const Inspection& inspection = context.inspection;
  const Coverage& coverage = inspection.verdict.coverage;
  FrontColumn column{"What was checked", {}};
  column.entries.push_back(plain(
      "The surface, " + percent_words(coverage.seen_fraction) + " of it.",
      area_words(coverage.seen_area_mm2) + " of " + area_words(coverage.design_area_mm2) + " by " +
          grouped(static_cast<long long>(inspection.verdict.summary.count)) + " readings" +
          (percent_words(coverage.seen_fraction) == "100 %"
               ? "."
               : "; the rest was not seen and is not vouched for.")));
  const auto& holes = inspection.verdict.holes;
  if (!holes.empty()) {
    std::vector<const HoleResult*> all;
    for (const HoleResult& hole : holes)
      all.push_back(&hole);
    column.entries.push_back(plain(capitalised(round_names(all, 5)) + ".",
                                   "Place and size as the plan asks; figures in the tables."));
  }
  const auto& slots = inspection.verdict.slots;
  if (!slots.empty()) {
    const std::string words = capitalised(slot_names(slots)) + ".";
    if (holes.empty())
      column.entries.push_back(
          plain(words, "Place and size as the plan asks; figures in the tables."));
    else
      column.entries.back().detail += " " + words;
  }
  const auto& distances = inspection.verdict.distances;
  if (!distances.empty()) {
    std::vector<std::string> names;
    for (const DistanceResult& distance : distances)
      names.push_back(printable(distance.name));
    const std::string title =
        (distances.size() == 1 ? "Distance " : "Distances ") + list_words(names, 5) + ".";
    if (holes.empty() && slots.empty())
      column.entries.push_back(plain(title, "Within its limits; figures in the tables."));
    else
      column.entries.back().detail += " " + title;
  }
  if (!inspection.verdict.forms.empty()) {
    const std::string words = capitalised(form_names(inspection.verdict.forms)) + ".";
    if (holes.empty() && slots.empty() && distances.empty())
      column.entries.push_back(plain(words, "Within their limits; figures in the tables."));
    else
      column.entries.back().detail += " " + words;
  }
  if (!context.found.empty()) {
    add_findings(context, column.entries);
  } else {
    column.entries.push_back(plain("No place stands out.", "Nothing is listed outside its band."));
  }
  return column;
}

FrontEntry nearest_entry(const SheetContext& context) {
  const Inspection& inspection = context.inspection;
  const NearestReading nearest = nearest_to_limit(inspection);
  if (!nearest.found) return plain("Nothing was read.", {});
  const Box part = bounding_box(inspection.design.mesh.vertices_mm);
  return plain("Nearest: " + signed_fixed(nearest.deviation_mm, context.decimals) + " of " +
                   fixed(nearest.limit_mm, std::max(2, context.decimals)) + " mm allowed,",
               place_words(nearest.at_mm, nearest.normal, part) + ", at " +
                   point_words(nearest.at_mm) + ".");
}

FrontColumn how_near(const SheetContext& context) {
  const Inspection& inspection = context.inspection;
  FrontColumn column{"How near the limits it came", {nearest_entry(context)}};
  if (const HoleResult* hole = tightest_hole(inspection)) {
    column.entries.push_back(
        plain("Tightest " + round_word(hole->kind) + ": " + printable(hole->name) + ".",
              hole_figures(inspection, *hole, context.decimals)));
  }
  const auto& budget = inspection.verdict.uncertainty;
  column.entries.push_back(
      plain("U = " + fixed(budget.expanded_mm, std::max(2, context.decimals)) +
                " mm is taken off every limit.",
            "So a pass holds even where readings are off by that much (ISO 14253-1)."));
  return column;
}

FrontColumn actions(const SheetContext& context, const std::string& heading) {
  FrontColumn column{heading, {}};
  const std::vector<std::string>& all = context.inspection.verdict.actions;
  for (std::size_t i = 0; i < std::min(all.size(), kFrontEntries); ++i)
    column.entries.push_back(
        split_entry(trammel::with_brief_names(context.inspection.verdict, printable(all[i]))));
  for (std::size_t i = 0; i < column.entries.size(); ++i) {
    FrontEntry& entry = column.entries[i];
    std::string& first = entry.title.empty() ? entry.detail : entry.title;
    first = std::to_string(i + 1) + ". " + first;
  }
  tell_of_left_out(all.size() - column.entries.size(), column.entries);
  return column;
}

/// The column, with names that leave room for what is said of them.
FrontColumn with_brief_names(const SheetContext& context, FrontColumn column) {
  for (FrontEntry& entry : column.entries) {
    for (std::string* words : {&entry.title, &entry.detail})
      *words = trammel::with_brief_names(context.inspection.verdict, std::move(*words));
  }
  return column;
}

FrontColumn whole_left_column(const SheetContext& context) {
  const Outcome outcome = context.inspection.verdict.outcome;
  if (outcome == Outcome::Pass || outcome == Outcome::Listed) return what_was_checked(context);
  FrontColumn column{outcome == Outcome::Fail ? "What is wrong" : "What is in doubt", {}};
  if (outcome == Outcome::Undecided) add_reasons(context, column.entries);
  if (column.entries.size() < kFrontEntries) add_findings(context, column.entries);
  if (outcome == Outcome::Fail) add_reasons(context, column.entries);
  return column;
}

FrontColumn whole_right_column(const SheetContext& context) {
  switch (context.inspection.verdict.outcome) {
    case Outcome::Fail: return actions(context, "What to do");
    case Outcome::Undecided: return actions(context, "What would settle it");
    case Outcome::Pass:
    case Outcome::Listed: return how_near(context);
  }
  return {};
}

}  // namespace

std::vector<std::string> reasons_without_finding(const SheetContext& context) {
  std::vector<std::string> out;
  for (const std::string& reason : context.inspection.verdict.reasons) {
    const bool said =
        std::any_of(context.found.begin(), context.found.end(),
                    [&](const Finding& finding) { return is_about(printable(reason), finding); });
    if (!said) out.push_back(reason);
  }
  return out;
}

FrontColumn left_column(const SheetContext& context) {
  return with_brief_names(context, whole_left_column(context));
}

FrontColumn right_column(const SheetContext& context) {
  return with_brief_names(context, whole_right_column(context));
}

std::string alignment_words(const Inspection& inspection) {
  const Alignment& alignment = inspection.alignment;
  if (!alignment.found) return "no pose could be verified";
  std::string words = fixed(alignment.rms_mm, alignment.rms_mm < 0.1 ? 3 : 2) + " mm rms, ";
  if (!alignment.converged) return words + "not converged";
  if (!alignment.ambiguous) return words + "one pose";
  const std::size_t count = alignment.others.size() + 1;
  words += count_words(count) + " poses fit";
  return inspection.verdict.in_poses.size() == count ? words + ", judged in each" : words;
}

std::string held_words(const Alignment& alignment) {
  std::string words = alignment.held_by.empty() ? alignment.method : printable(alignment.held_by);
  if (!alignment.free_directions.empty()) {
    words += ", free: " + printable(alignment.free_directions.front());
  }
  return words;
}

std::vector<std::pair<std::string, std::string>> trust_lines(const SheetContext& context) {
  const Inspection& inspection = context.inspection;
  const Verdict& verdict = inspection.verdict;
  const std::string reading =
      fixed(verdict.uncertainty.expanded_mm, std::max(2, context.decimals)) + " mm (U, k = 2)";
  return {{"seen", percent_words(verdict.coverage.seen_fraction) + " of the surface"},
          {"reading", "\u00b1" + reading},
          {"alignment", alignment_words(inspection)},
          {"held by", held_words(inspection.alignment)},
          {"points", grouped(static_cast<long long>(inspection.tidy.kept)) + ", " +
                         fixed(inspection.tidy.spacing_mm, 2) + " mm apart"},
          {"unit", printable(inspection.units.unit) +
                       (inspection.units.certain ? "" : ", but another fits as well")},
          {"decided", "with U on both sides of every limit"}};
}

std::string caution_words() {
  return "This sheet is about shape only. It says nothing of the strength of a weld or a print, "
         "nor "
         "of approval for the road: local rules and licensed practice come first. Bending a welded "
         "or hardened part can crack it.";
}

}  // namespace trammel
