#include <algorithm>

#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/report/brief_names.hpp"
#include "trammel/report/findings.hpp"
#include "trammel/report/report.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

constexpr std::size_t kFindings = 3;
constexpr std::size_t kActions = 2;  // with the line of what went wrong, ten lines in all
constexpr std::size_t kFlaws = 1;

std::string verdict_line(const Inspection& inspection) {
  return in_capitals(outcome_name(inspection.verdict.outcome)) + "  " + part_title(inspection) +
         ": " + verdict_sentence(inspection);
}

/// A title that begins with the name needs no label before it.
std::string finding_line(const Finding& finding) {
  const bool says_it = finding.title.rfind(finding.label, 0) == 0;
  return (says_it ? "  " : "  " + finding.label + "  ") + finding.title + " " + finding.detail;
}

/// Whose pattern the bolts were asked to go into, when it is not the design's.
std::string mates_words(const Inspection& inspection) {
  std::string words;
  for (const BoltUp& up : inspection.verdict.bolt_ups)
    if (!up.mate.empty())
      words += " Bolts " + (up.group.empty() ? "" : "of " + printable(up.group) + " ") +
               "stand as in " + printable(up.mate) + ".";
  return words;
}

std::string trust_line(const Inspection& inspection) {
  const Verdict& verdict = inspection.verdict;
  return "  Seen: " + percent_words(verdict.coverage.seen_fraction) +
         " of the surface; one reading holds to \u00b1" +
         fixed(verdict.uncertainty.expanded_mm, std::max(2, length_decimals(inspection))) +
         " mm (U, k = 2)." + mates_words(inspection);
}

}  // namespace

std::string summary_text(const Inspection& inspection, const std::filesystem::path& sheet_folder) {
  std::string text = verdict_line(inspection) + "\n";
  const std::vector<Finding> found = findings(inspection);
  for (std::size_t i = 0; i < std::min(found.size(), kFindings); ++i)
    text += with_brief_names(inspection.verdict, finding_line(found[i])) + "\n";
  if (found.size() > kFindings) {
    text += "  and " + std::to_string(found.size() - kFindings) + " more on the sheet.\n";
  }
  const auto& flaws = inspection.verdict.flaws;
  for (std::size_t i = 0; i < std::min(flaws.size(), kFlaws); ++i)
    text += "  Why: " + printable(flaws[i].words) + " (" + percent_words(flaws[i].share) +
            " of the misfit)\n";
  const auto& actions = inspection.verdict.actions;
  for (std::size_t i = 0; i < std::min(actions.size(), kActions); ++i) {
    const bool more = i + 1 == kActions && actions.size() > kActions;
    text +=
        "  To do: " + with_brief_names(inspection.verdict, printable(actions[i])) +
        (more ? " (and " + std::to_string(actions.size() - kActions) + " more on the sheet)" : "") +
        "\n";
  }
  text += trust_line(inspection) + "\n";
  return text + "  Sheet: " + printable((sheet_folder / "sheet.pdf").string()) + "\n";
}

}  // namespace trammel
