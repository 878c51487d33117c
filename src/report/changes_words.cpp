#include "trammel/report/changes_words.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"
#include "trammel/model/words.hpp"
#include "trammel/report/words.hpp"

namespace trammel {
namespace {

constexpr std::size_t kShownChanges = 3;

std::string length_words(const Changes& c, double mm) {
  return signed_fixed(mm, changes_decimals(c)) + " mm";
}

std::string volume_words(double mm3) {
  const double cm3 = mm3 / 1000.0;
  return signed_fixed(cm3, std::abs(cm3) >= 10.0 ? 1 : 2) + " cm³";
}

std::string change_title(const Changes& c, const Change& change) {
  return kind_name(change.kind) + " " + length_words(c, change.peak_mm) + " at its peak";
}

std::string change_detail(const Changes& c, const Change& change) {
  return area_words(change.area_mm2) + ", " + length_words(c, change.mean_mm) + " at the mean, " +
         volume_words(change.volume_mm3) + ", near " + place_words(change.center_mm);
}

std::string pose_words(const Changes& c) {
  const Alignment& a = c.fit.alignment;
  if (!a.found) return "not found";
  return "±" + fixed(a.standard_error_mm, 3) + " mm (1 σ) at the corners, " +
         percent_words(a.overlap) + " of the smaller scan explained" +
         (a.ambiguous ? ", other poses fit as well" : "");
}

std::string detection_words(const Changes& c) {
  if (!std::isfinite(c.typical_detectable_mm)) return "nothing was measured";
  return fixed(c.typical_detectable_mm, 3) + " mm at the median (95 %)";
}

std::string scale_words(const Changes& c) {
  return "normals from balls of " + fixed(c.scales.normal_mm, 1) + " mm (roughness " +
         fixed(c.scales.roughness_mm, 3) + " mm), cylinders of " + fixed(c.scales.cylinder_mm, 1) +
         " mm, ±" + fixed(c.scales.depth_mm, 0) + " mm deep, places " + fixed(c.scales.core_mm, 1) +
         " mm apart";
}

std::string file_words(const ScanFile& file) {
  return printable(file.file) + ", " + counted(file.tidy.kept, "point", "points") + " kept of " +
         grouped(static_cast<long long>(file.points)) + ", in " + file.units.unit + " (" +
         file.units.reason + ")" +
         (file.sha256.empty() ? "" : ", SHA-256 " + file.sha256.substr(0, 12) + "…");
}

/// A line when a unit was not given: all lengths hang on it.
std::string unit_lines(const Changes& c) {
  const UnitChoice &old_unit = c.old_file.units, &new_unit = c.new_file.units;
  if (old_unit.reason == "given" && new_unit.reason == "given") return "";
  return "  Units: old in " + old_unit.unit + " (" + old_unit.reason + "), new in " +
         new_unit.unit + " (" + new_unit.reason + "); --units says otherwise\n";
}

TableRow change_row(const Changes& c, const Change& change) {
  const int decimals = changes_decimals(c);
  return {{std::to_string(change.id), kInk, true},
          {kind_name(change.kind)},
          {signed_fixed(change.peak_mm, decimals)},
          {signed_fixed(change.mean_mm, decimals)},
          {fixed(change.detectable_mm, 3)},
          {fixed(change.area_mm2, 0)},
          {signed_fixed(change.volume_mm3 / 1000.0, 3)},
          {place_words(change.center_mm)}};
}

std::string side_words(const ScanFit& fit) {
  if (!fit.sides_known) return "outside is a guess: proud and shy may be exchanged";
  return fit.sides_told_by_sheet ? "outside told by the two faces of the sheet, not by the scans"
                                 : "outside known from the scans' normals";
}

}  // namespace

std::string changes_word(ChangesOutcome outcome) {
  return capitalised(outcome_name(outcome));
}

int changes_decimals(const Changes& changes) {
  return decimals_for(changes.settings.least_mm);
}

std::string changes_sentence(const Changes& c) {
  if (c.outcome == ChangesOutcome::Undecided || c.changes.empty())
    return capitalised(c.reasons.empty() ? "nothing is known" : c.reasons.front()) + ".";
  const Change& largest = c.changes.front();
  return capitalised(counted(c.changes.size(), "place", "places")) + " changed; the largest is " +
         change_title(c, largest) + ", " + area_words(largest.area_mm2) + ".";
}

FrontColumn changes_column(const Changes& c) {
  FrontColumn column;
  if (c.outcome == ChangesOutcome::Undecided) {
    column.heading = "What is in doubt";
    for (std::size_t i = 0; i < std::min(c.reasons.size(), kShownChanges); ++i)
      column.entries.push_back({"", kInk, "", capitalised(c.reasons[i]) + "."});
    if (!c.changes.empty() && column.entries.size() < kShownChanges)
      column.entries.push_back(
          {"", kInk, "", "What reads as changed is listed behind, and may be the pose's."});
    return column;
  }
  column.heading = c.changes.empty() ? "What was compared" : "What changed";
  for (std::size_t i = 0; i < std::min(c.changes.size(), kShownChanges); ++i)
    column.entries.push_back({std::to_string(c.changes[i].id), kInk,
                              capitalised(change_title(c, c.changes[i])),
                              change_detail(c, c.changes[i])});
  if (c.changes.empty())
    column.entries.push_back({"", kInk, "", capitalised(c.reasons.front()) + "."});
  return column;
}

std::vector<std::pair<std::string, std::string>> changes_trust(const Changes& c) {
  return {{"Pose", pose_words(c)},
          {"Seen again", percent_words(c.coverage.common_share()) + " of the old surface, " +
                             percent_words(c.settings.least_coverage) + " asked for"},
          {"Detection", detection_words(c)},
          {"Asked for", "changes above " + shortest(c.settings.least_mm) + " mm, from " +
                            fixed(c.least_area_mm2, 0) + " mm² on"},
          {"Side", side_words(c.fit)}};
}

std::vector<std::pair<Rgb, std::string>> changes_keys(const Changes& c) {
  // 1.5 · 0.2 is not 0.3 in binary.
  const auto above = [&](int step) {
    return shortest(std::round(step_start(step) * c.settings.least_mm * 1e6) / 1e6);
  };
  std::vector<std::pair<Rgb, std::string>> keys;
  for (int step = kLastStep; step >= 1; --step)
    keys.emplace_back(colour_of_step(-step), "shy > " + above(step));
  keys.emplace_back(colour_of_step(0), "alike");
  for (int step = 1; step <= kLastStep; ++step)
    keys.emplace_back(colour_of_step(step), "proud > " + above(step));
  keys.emplace_back(kNotMeasured, "unsure");
  return keys;
}

void write_changes_tables(SheetWriter& writer, const Changes& c) {
  if (!c.changes.empty()) {
    writer.heading("Changes", 40.0);
    std::vector<TableRow> rows;
    for (const Change& change : c.changes)
      rows.push_back(change_row(c, change));
    writer.table({{"No", 26.0},
                  {"Kind", 44.0},
                  {"Peak mm", 56.0, Anchor::End},
                  {"Mean mm", 56.0, Anchor::End},
                  {"Detection mm", 72.0, Anchor::End},
                  {"Area mm²", 58.0, Anchor::End},
                  {"Volume cm³", 66.0, Anchor::End},
                  {"Centre, old scan's coordinates", 145.0}},
                 rows);
  }
  const ChangesCoverage& area = c.coverage;
  writer.heading("Areas", 60.0);
  writer.facts(
      {{"Old scan", area_words(area.old_mm2)},
       {"Seen again", area_words(area.common_mm2) + ": alike " + area_words(area.same_mm2) +
                          ", changed " + area_words(area.changed_mm2) + ", unsure " +
                          area_words(area.unsure_mm2)},
       {"Only old", area_words(area.only_old_mm2) + ": no change is told there"},
       {"Only new", area_words(area.only_new_mm2) + " of " + area_words(area.new_mm2) +
                        ": no change is told there"}});
  writer.heading("May it be believed", 60.0);
  std::vector<Fact> trust;
  for (const auto& [name, words] : changes_trust(c))
    trust.push_back({name, words});
  trust.push_back({"Scales", scale_words(c)});
  trust.push_back({"Rule",
                   "M3C2 (Lague, Brodu and Leroux 2013): a place changed when it moved along its "
                   "normal by more than 1.96 · (√(σ₁²/n₁ + σ₂²/n₂) + pose), and by more than "
                   "asked; a patch counts when one of its places is beyond what chance makes "
                   "anywhere (Bonferroni)"});
  writer.facts(trust);
  writer.heading("Where it comes from", 40.0);
  writer.facts({{"Old", file_words(c.old_file)}, {"New", file_words(c.new_file)}});
  for (const std::string& reason : c.reasons)
    writer.paragraph(capitalised(printable(reason)) + ".");
  for (const std::string& note : c.notes)
    writer.paragraph(capitalised(printable(note)) + ".");
}

std::string changes_summary(const Changes& c, const std::filesystem::path& folder) {
  std::string text = in_capitals(outcome_name(c.outcome)) + "  " + printable(c.new_file.file) +
                     " beside " + printable(c.old_file.file) + ": " + changes_sentence(c) + "\n";
  for (std::size_t i = 0; i < std::min(c.changes.size(), kShownChanges); ++i)
    text += "  " + std::to_string(c.changes[i].id) + "  " + change_title(c, c.changes[i]) + ", " +
            change_detail(c, c.changes[i]) + "\n";
  if (c.changes.size() > kShownChanges)
    text += "  and " + std::to_string(c.changes.size() - kShownChanges) + " more on the sheet.\n";
  text += "  Pose: " + pose_words(c) + "\n";
  text += unit_lines(c);
  text += "  Seen again: " + percent_words(c.coverage.common_share()) +
          " of the old surface; level of detection " + detection_words(c) + "\n";
  return text + "  Sheet: " + printable((folder / "sheet.pdf").string()) + "\n";
}

}  // namespace trammel
