#include "trammel/report/overview.hpp"

#include <algorithm>

#include "trammel/base/files.hpp"
#include "trammel/base/text.hpp"
#include "trammel/report/brief_names.hpp"
#include "trammel/report/overview_html.hpp"
#include "trammel/report/overview_tables.hpp"
#include "trammel/report/png.hpp"
#include "trammel/report/small_picture.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

constexpr int kPictureWidth = 220, kPictureHeight = 150;

/// Errors by their number, over fail, over undecided, over pass.
int rank_of(ExitCode code) {
  switch (code) {
    case ExitCode::Pass: return 0;
    case ExitCode::Undecided: return 1;
    case ExitCode::Fail: return 2;
    default: return static_cast<int>(code);
  }
}

/// The worst in one line: what is out; for want of that, why nothing can be said.
std::string worst_words(const Inspection& inspection) {
  const Verdict& verdict = inspection.verdict;
  const std::vector<Finding> found = findings(inspection);
  const bool reason_first = verdict.outcome == Outcome::Undecided || found.empty();
  if (reason_first && !verdict.reasons.empty())
    return with_brief_names(verdict, capitalised(printable(verdict.reasons.front())));
  if (!found.empty()) return with_brief_names(verdict, found.front().title);
  return "Nothing is outside its band.";
}

void add_readings(const Inspection& inspection, OverviewEntry& entry) {
  entry.proud = nearest_to_limit(inspection, RegionKind::Proud);
  entry.shy = nearest_to_limit(inspection, RegionKind::Shy);
  const HoleResult* hole = tightest_hole(inspection);
  if (hole == nullptr) return;
  entry.hole = WorstHole{printable(hole->name), *hole->position_mm,
                         *check_of(inspection.plan, hole->name)->position_mm};
}

std::size_t count_of(const Overview& overview, ScanState state) {
  return static_cast<std::size_t>(
      std::count_if(overview.entries.begin(), overview.entries.end(),
                    [&](const OverviewEntry& entry) { return entry.state == state; }));
}

std::size_t count_of(const Overview& overview, Outcome outcome) {
  return static_cast<std::size_t>(
      std::count_if(overview.entries.begin(), overview.entries.end(),
                    [&](const OverviewEntry& entry) { return entry.outcome == outcome; }));
}

std::string line_of(const OverviewEntry& entry) {
  const std::string name = printable(entry.scan);
  switch (entry.state) {
    case ScanState::Waiting: return "  not checked yet: " + name;
    case ScanState::Stopped: return "  no sheet: " + entry.error;  // it names the file
    case ScanState::Checked: break;
  }
  return "  " + outcome_name(*entry.outcome) + ": " + name + ": " + entry.worst;
}

}  // namespace

OverviewEntry overview_entry(const Inspection& inspection, const std::string& scan,
                             const std::string& folder, const Picture& front) {
  OverviewEntry entry;
  entry.scan = scan;
  entry.folder = folder;
  entry.state = ScanState::Checked;
  const Outcome outcome = inspection.verdict.outcome;
  entry.outcome = outcome == Outcome::Listed ? Outcome::Undecided : outcome;
  entry.code = exit_code_of(*entry.outcome);
  entry.sentence = verdict_sentence(inspection);
  entry.worst = worst_words(inspection);
  // Readings of a pose that may be another one say nothing of the part.
  if (inspection.alignment.is_sure()) add_readings(inspection, entry);
  for (const BoltUp& up : inspection.verdict.bolt_ups)
    entry.bolts_up = entry.bolts_up ? worse(*entry.bolts_up, up.outcome) : up.outcome;
  entry.seen_fraction = inspection.verdict.coverage.seen_fraction;
  entry.uncertainty_mm = inspection.verdict.uncertainty.expanded_mm;
  entry.decimals = length_decimals(inspection);
  entry.picture_png = png_of(shrunk(front, kPictureWidth, kPictureHeight));
  return entry;
}

Outcome outcome_of(const Overview& overview) {
  Outcome outcome = overview.entries.empty() ? Outcome::Undecided : Outcome::Pass;
  for (const OverviewEntry& entry : overview.entries)
    outcome = worse(outcome, entry.outcome.value_or(Outcome::Undecided));
  return outcome;
}

ExitCode worst_code(const Overview& overview) {
  ExitCode worst = overview.entries.empty() ? ExitCode::Undecided : ExitCode::Pass;
  for (const OverviewEntry& entry : overview.entries) {
    const ExitCode code = entry.state == ScanState::Waiting ? ExitCode::Undecided : entry.code;
    if (rank_of(code) > rank_of(worst)) worst = code;
  }
  return worst;
}

std::string overview_sentence(const Overview& overview) {
  std::vector<std::string> parts;
  const auto add = [&](std::size_t count, const std::string& words) {
    if (count > 0) parts.push_back(std::to_string(count) + " " + words);
  };
  add(count_of(overview, Outcome::Pass), "pass");
  add(count_of(overview, Outcome::Fail), "fail");
  add(count_of(overview, Outcome::Undecided), "undecided");
  add(count_of(overview, ScanState::Stopped), "could not be checked");
  add(count_of(overview, ScanState::Waiting), "not checked yet");
  const std::size_t all = overview.entries.size();
  return std::to_string(all) + (all == 1 ? " scan: " : " scans: ") +
         list_words(parts, parts.size()) + ".";
}

std::string overview_text(const Overview& overview, const std::filesystem::path& folder) {
  std::string text = in_capitals(outcome_name(outcome_of(overview))) + "  " + overview.part + ": " +
                     overview_sentence(overview) + "\n";
  // As many as a screen shows beside the rest; the worst, where they are more.
  constexpr std::size_t kMostLines = 8;
  std::vector<const OverviewEntry*> told;
  for (const OverviewEntry& entry : overview.entries)
    told.push_back(&entry);
  if (told.size() > kMostLines) {
    std::stable_sort(told.begin(), told.end(), [](const auto* a, const auto* b) {
      return rank_of(a->code) > rank_of(b->code);
    });
    told.resize(kMostLines - 1);
  }
  for (const OverviewEntry* entry : told)
    text += line_of(*entry) + "\n";
  if (told.size() < overview.entries.size()) {
    text += "  and " + std::to_string(overview.entries.size() - told.size()) +
            " more, none of them worse.\n";
  }
  return text + "  Overview: " + printable((folder / "overview.html").string()) + "\n";
}

void write_overview(const Overview& overview, const std::filesystem::path& folder) {
  write_file_whole(folder / "overview.csv", overview_csv(overview));
  write_file_whole(folder / "overview.json", overview_json(overview));
  write_file_whole(folder / "overview.html", overview_html(overview));
}

}  // namespace trammel
