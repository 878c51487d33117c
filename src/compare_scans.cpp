#include "trammel/compare_scans.hpp"

#include <algorithm>
#include <string>
#include <utility>
#include <vector>

#include "trammel/align/align_scans.hpp"
#include "trammel/base/error.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/base/random.hpp"
#include "trammel/changes/measure_changes.hpp"
#include "trammel/geometry/sheet_sides.hpp"
#include "trammel/read/choose_units.hpp"
#include "trammel/read/read_files.hpp"
#include "trammel/tidy/enough_points.hpp"
#include "trammel/tidy/tidy.hpp"

namespace trammel {
namespace {

constexpr std::uint64_t kScansSeed = 21;
const char* const kGiven = "given";  // the reason of a unit that was asked for

UnitChoice given_or_guessed(const Scan& scan, Unit units) {
  Eigen::Matrix3Xd finite(3, scan.size());
  Eigen::Index count = 0;
  for (Eigen::Index i = 0; i < scan.size(); ++i)
    if (scan.points_mm.col(i).allFinite()) finite.col(count++) = scan.points_mm.col(i);
  finite.conservativeResize(3, count);
  return unit_of_lone_file(units, bounding_box(finite).diagonal_mm());
}

/// One scanner saves in one unit: the new file's is the old one's, unless the sizes then differ so
/// much that they cannot be of one thing.
UnitChoice unit_beside(const UnitChoice& old_unit, const Scan& old_mm, const Scan& raw,
                       Unit units) {
  if (units != Unit::Auto) return given_or_guessed(raw, units);
  constexpr Eigen::Index kEnough = 20'000;
  Eigen::Matrix3Xd some_of_old(3, std::min(kEnough, old_mm.size()));
  for (Eigen::Index i = 0; i < some_of_old.cols(); ++i)
    some_of_old.col(i) = old_mm.points_mm.col(i * old_mm.size() / some_of_old.cols());
  const double old_size_mm = bounding_box(some_of_old).diagonal_mm();
  const std::string old_words = "the old scan";
  const auto fitting = units_beside(raw, old_size_mm, old_words);
  if (fitting.empty())
    throw Error(ErrorKind::Input, raw.name, no_unit_fits(raw, old_size_mm, old_words),
                "Check that both scans show the same thing; the old one was taken to be in " +
                    old_unit.unit + " (" + old_unit.reason +
                    "). Where they are saved in different units, save them in one and give it "
                    "with --units");
  for (const UnitChoice& one : fitting) {
    if (one.unit == old_unit.unit)
      return {one.mm_per_unit, one.unit, "as the old scan", one.certain};
  }
  return fitting.front();
}

/// What is told of a file, and the points of it that are gone on with.
struct Taken {
  ScanFile file;
  Scan scan;
};

Taken taken_of(RawScan raw, Eigen::Index most) {
  Taken out;
  out.file = {raw.file, raw.sha256, static_cast<std::size_t>(raw.scan.size()), {}, {}};
  out.scan = enough_points(std::move(raw.scan), most);
  return out;
}

/// Sets the counts of tidying beside the file's facts.
Scan tidied(Taken& taken) {
  Tidied out = tidy(in_mm(std::move(taken.scan), taken.file.units));
  taken.file.tidy = out.counts;
  return std::move(out.scan);
}

/// Gives scans without normals those that both faces of thin sheet tell (sheet_sides.hpp), if that
/// works for nearly all of each. @return whether it did
bool tell_sides_by_sheet(Scan& before, Scan& after) {
  constexpr double kNearlyAll = 0.8;
  std::vector<Scan*> untold;
  for (Scan* scan : {&before, &after})
    if (!scan->has_normals()) untold.push_back(scan);
  if (untold.empty()) return false;
  std::vector<Eigen::Matrix3Xd> normals;
  for (const Scan* scan : untold) {
    SheetSides sides = sides_of_sheet(scan->points_mm);
    if (sides.told < kNearlyAll) return false;
    normals.push_back(std::move(sides.normals));
  }
  for (std::size_t i = 0; i < untold.size(); ++i)
    untold[i]->normals = std::move(normals[i]);
  return true;
}

void note_on_file(const ScanFile& file, Eigen::Index most, std::vector<std::string>& notes) {
  if (file.units.reason != kGiven)
    notes.push_back(file.file + " was taken to be in " + file.units.unit + " (" +
                    file.units.reason + ")" +
                    (file.units.certain ? "" : ", which its size does not settle") +
                    "; say --units if it is not");
  if (file.points > static_cast<std::size_t>(most))
    notes.push_back(file.file + " has " + counted(file.points, "point", "points") +
                    ": change is measured with about " + grouped(static_cast<long long>(most)) +
                    " of them, spread evenly over it");
}

}  // namespace

Changes compare_scans(RawScan old_scan, RawScan new_scan, const ChangesSettings& settings,
                      Unit units, const RunInfo& run, const Narrator& narrate) {
  const auto tell = [&](const std::string& what) {
    if (narrate) narrate(what);
  };
  std::vector<std::string> notes = old_scan.notes;
  notes.insert(notes.end(), new_scan.notes.begin(), new_scan.notes.end());
  const Eigen::Index most = settings.most_points > 0 ? settings.most_points : kEnoughPoints;
  Taken old_taken = taken_of(std::move(old_scan), most);
  Taken new_taken = taken_of(std::move(new_scan), most);
  old_taken.file.units = given_or_guessed(old_taken.scan, units);
  Scan before = tidied(old_taken);
  new_taken.file.units = unit_beside(old_taken.file.units, before, new_taken.scan, units);
  Scan after = tidied(new_taken);
  const bool told_by_sheet = tell_sides_by_sheet(before, after);

  tell("aligning " +
       counted(static_cast<std::size_t>(before.size() + after.size()), "point", "points"));
  ScanFit fit = align_scans(before, after, {}, Rng(kScansSeed).stream("align"));
  fit.sides_told_by_sheet = told_by_sheet;
  tell("measuring change");
  Changes out = measure_changes(before, after, fit, settings);
  out.run = run;
  out.old_file = std::move(old_taken.file);
  out.new_file = std::move(new_taken.file);
  out.notes.insert(out.notes.end(), notes.begin(), notes.end());
  for (const ScanFile* file : {&out.old_file, &out.new_file})
    note_on_file(*file, most, out.notes);
  return out;
}

Changes compare_scans(const std::filesystem::path& old_file, const std::filesystem::path& new_file,
                      const ChangesSettings& settings, Unit units, const RunInfo& run,
                      const Narrator& narrate) {
  if (narrate)
    narrate("reading " + old_file.filename().string() + " and " + new_file.filename().string());
  RawScan old_scan, new_scan;
  run_together({[&] { old_scan = read_scan(old_file); }, [&] { new_scan = read_scan(new_file); }});
  return compare_scans(std::move(old_scan), std::move(new_scan), settings, units, run, narrate);
}

}  // namespace trammel
