#include "trammel/report/whole_part_words.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/report/sheet_marks.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

constexpr std::size_t kGroups = 2;
constexpr std::size_t kNamedOpenings = 3;
constexpr std::size_t kMostLines = 5;

/// The sentence up to its colon in bold, the rest with what it explains.
FrontEntry flaw_entry(const Flaw& flaw, std::size_t index) {
  const std::string words = printable(flaw.words);
  const std::size_t colon = words.find(": ");
  const std::string share = percent_words(flaw.share) + " of the misfit.";
  FrontEntry entry{{}, kInk, words, "It explains " + share, mark_of_flaw(index)};
  if (colon == std::string::npos) return entry;
  entry.title = words.substr(0, colon);
  entry.detail = capitalised(words.substr(colon + 2)) + ". It explains " + share;
  return entry;
}

std::string opening_words(const HoleOpening& opening, bool is_first) {
  return named("hole", printable(opening.hole)) + (is_first ? " is opened to " : " to ") +
         fixed(opening.diameter_mm, 1) + " mm";
}

std::string slot_words(const HoleOpening& opening) {
  return "longer by " + fixed(opening.slot_mm, 1) + " mm towards " + axes_words(opening.towards);
}

/// "0.31 ± 0.10 mm".
std::string play_words(const BoltUp& up) {
  return fixed(std::abs(up.play_mm), 2) + " \u00b1 " + fixed(up.uncertainty_mm, 2) + " mm";
}

/// Of a mate that was scanned: the part's place on it is free, so no shift is told.
void say_yes(const BoltUp& up, FrontEntry& entry) {
  entry.title = "Yes, every bolt goes through";
  const std::string where = up.mate.empty()
                                ? ", with the part moved " + fixed(up.shift_mm.norm(), 2) +
                                      " mm and turned " +
                                      fixed(std::abs(up.turn_rad) / kDegree, 2) + "\u00b0."
                                : ", the bolts where " + printable(up.mate) + " has them.";
  entry.detail = play_words(up) + " of play at the tightest" + where;
}

void say_no(const BoltUp& up, FrontEntry& entry) {
  std::vector<std::string> openings, slots;
  for (const HoleOpening& opening : up.openings) {
    openings.push_back(opening_words(opening, openings.empty()));
    if (!opening.towards.isZero())
      slots.push_back(printable(opening.hole) + " " + slot_words(opening));
  }
  entry.title = openings.empty() ? "No, not every bolt goes through"
                                 : "No, unless " + list_words(openings, kNamedOpenings);
  entry.detail = play_words(up) + " lack at the tightest, wherever the part is moved";
  entry.detail += up.mate.empty() ? "." : ", the bolts where " + printable(up.mate) + " has them.";
  if (slots.empty()) return;
  entry.detail += (slots.size() == 1 ? " Or a slot: " : " Or slots: ") +
                  list_words(slots, kNamedOpenings) + ".";
}

FrontEntry bolts_entry(const BoltUp& up) {
  FrontEntry entry{{}, kInk, {}, {}};
  entry.outcome = up.outcome;
  if (up.outcome == Outcome::Pass) {
    say_yes(up, entry);
  } else if (up.outcome == Outcome::Fail) {
    say_no(up, entry);
  } else {
    entry.title = "It cannot be told";
    entry.detail = printable(up.words) + ".";
  }
  if (!up.group.empty()) entry.title += " (" + printable(up.group) + ")";
  return entry;
}

/// Groups in the order worst first, as page 1 has no room for all.
std::vector<const BoltUp*> worst_groups(const Verdict& verdict) {
  std::vector<const BoltUp*> groups;
  for (const Outcome outcome : {Outcome::Fail, Outcome::Undecided, Outcome::Pass}) {
    for (const BoltUp& up : verdict.bolt_ups)
      if (up.outcome == outcome) groups.push_back(&up);
  }
  return groups;
}

/// Into verdict.holes, or their count when there is none of that name.
std::size_t index_of_hole(const Verdict& verdict, const std::string& name) {
  const auto at = std::find_if(verdict.holes.begin(), verdict.holes.end(),
                               [&](const HoleResult& hole) { return hole.name == name; });
  return static_cast<std::size_t>(at - verdict.holes.begin());
}

}  // namespace

FrontColumn flaws_column(const SheetContext& context) {
  FrontColumn column{"What went wrong", {}, kMostLines};
  const auto& flaws = context.inspection.verdict.flaws;
  for (std::size_t i = 0; i < std::min(flaws.size(), kFlawsOnFront); ++i)
    column.entries.push_back(flaw_entry(flaws[i], i));
  return column;
}

FrontColumn bolts_column(const SheetContext& context) {
  FrontColumn column{"Will it bolt up", {}, kMostLines};
  const auto groups = worst_groups(context.inspection.verdict);
  for (std::size_t i = 0; i < std::min(groups.size(), kGroups); ++i)
    column.entries.push_back(bolts_entry(*groups[i]));
  if (groups.size() > kGroups) {
    const std::size_t more = groups.size() - kGroups;
    column.entries.back().detail += " " + capitalised(count_words(more)) +
                                    (more == 1 ? " more group" : " more groups") +
                                    " in the tables.";
  }
  return column;
}

std::vector<FrontEntry> opening_entries(const SheetContext& context) {
  const Verdict& verdict = context.inspection.verdict;
  std::vector<FrontEntry> entries;
  for (const BoltUp* up : worst_groups(verdict)) {
    for (const HoleOpening& opening : up->openings) {
      const std::size_t hole = index_of_hole(verdict, opening.hole);
      if (hole == verdict.holes.size()) continue;
      entries.push_back({context.names.holes[hole],
                         balloon_colour(true, verdict.holes[hole].outcome),
                         "Open to " + fixed(opening.diameter_mm, 1) + " mm",
                         "or make it " + slot_words(opening), mark_of_hole(hole)});
    }
  }
  return entries;
}

}  // namespace trammel
