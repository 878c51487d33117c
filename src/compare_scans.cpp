#include "trammel/compare_scans.hpp"

#include <algorithm>
#include <utility>

#include "trammel/align/align_scans.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/base/random.hpp"
#include "trammel/changes/measure_changes.hpp"
#include "trammel/read/choose_units.hpp"
#include "trammel/read/read_files.hpp"
#include "trammel/tidy/tidy.hpp"

namespace trammel {
namespace {

constexpr std::uint64_t kScansSeed = 21;

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
  Mesh size_of_old;
  const Eigen::Index count = std::min(kEnough, old_mm.size());
  size_of_old.vertices_mm.resize(3, count);
  for (Eigen::Index i = 0; i < count; ++i)
    size_of_old.vertices_mm.col(i) = old_mm.points_mm.col(i * old_mm.size() / count);
  const auto fitting = plausible_units(raw, size_of_old, Unit::Auto);
  for (const UnitChoice& one : fitting) {
    if (one.unit == old_unit.unit)
      return {one.mm_per_unit, one.unit, "as the old scan", one.certain};
  }
  return fitting.front();
}

ScanFile facts_of(const RawScan& raw, const UnitChoice& units, const TidyCounts& counts) {
  return {raw.file, raw.sha256, units, counts};
}

}  // namespace

Changes compare_scans(RawScan old_scan, RawScan new_scan, const ChangesSettings& settings,
                      Unit units, const RunInfo& run, const Narrator& narrate) {
  const auto tell = [&](const std::string& what) {
    if (narrate) narrate(what);
  };
  const UnitChoice old_units = given_or_guessed(old_scan.scan, units);
  Tidied before = tidy(in_mm(std::move(old_scan.scan), old_units));
  const UnitChoice new_units = unit_beside(old_units, before.scan, new_scan.scan, units);
  Tidied after = tidy(in_mm(std::move(new_scan.scan), new_units));

  tell("aligning " + counted(before.counts.kept + after.counts.kept, "point", "points"));
  const ScanFit fit = align_scans(before.scan, after.scan, {}, Rng(kScansSeed).stream("align"));
  tell("measuring change");
  Changes out = measure_changes(before.scan, after.scan, fit, settings);
  out.run = run;
  out.old_file = facts_of(old_scan, old_units, before.counts);
  out.new_file = facts_of(new_scan, new_units, after.counts);
  for (const auto* scan : {&old_scan, &new_scan})
    out.notes.insert(out.notes.end(), scan->notes.begin(), scan->notes.end());
  for (const auto* file : {&out.old_file, &out.new_file})
    if (!file->units.certain)
      out.notes.push_back(file->file + " was taken to be in " + file->units.unit +
                          ", which its size does not settle; say --units if it is not");
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
