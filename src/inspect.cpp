#include "trammel/inspect.hpp"

#include <algorithm>
#include <iterator>
#include <optional>
#include <utility>

#include "pose_judge.hpp"
#include "trammel/align/align.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/base/random.hpp"
#include "trammel/compare/cell_readings.hpp"
#include "trammel/geometry/even_triangles.hpp"
#include "trammel/geometry/find_openings.hpp"
#include "trammel/geometry/seen_from_outside.hpp"
#include "trammel/geometry/smooth_face.hpp"
#include "trammel/geometry/surface_cells.hpp"
#include "trammel/geometry/surface_index.hpp"
#include "trammel/read/choose_units.hpp"
#include "trammel/read/read_files.hpp"
#include "trammel/tidy/tidy.hpp"

namespace trammel {
namespace {

std::vector<Zone> zones_named(const std::vector<std::string>& names, const Plan& plan) {
  std::vector<Zone> zones;
  std::copy_if(plan.zones.begin(), plan.zones.end(), std::back_inserter(zones),
               [&](const Zone& zone) {
                 return std::find(names.begin(), names.end(), zone.name) != names.end();
               });
  return zones;
}

AlignSettings align_settings(const Plan& plan, const UnitChoice& units) {
  AlignSettings out;
  out.method = plan.method;
  out.on = zones_named(plan.fit_on, plan);
  out.off = zones_named(plan.fit_off, plan);
  for (const PointPair& pair : plan.pairs)
    out.pairs.push_back({pair.design_mm, units.mm_per_unit * pair.scan});
  out.refine = plan.refine;
  out.datums = plan.datums;
  out.datum_fit = plan.datum_fit;
  out.least_seen = plan.least_coverage;
  out.coating_mm = plan.coating_mm;
  return out;
}

/// Points three to such a radius tell all of a face that its judgement can use.
TidySettings tidy_settings(const Plan& plan) {
  TidySettings out;
  out.thinning.coarsest_mm = pooling_radius_mm(plan) / 3.0;
  return out;
}

/// Tidies and aligns the scan in one unit.
Placed place_in(const UnitChoice& units, SmallPart small_part, const Scan& raw,
                const SurfaceIndex& design, const Plan& plan) {
  Placed out;
  out.units = units;
  Tidied tidied = tidy(in_mm(raw, units), tidy_settings(plan));
  out.scan = std::move(tidied.scan);
  out.tidy = tidied.counts;
  AlignSettings settings = align_settings(plan, units);
  settings.small_part = small_part;
  out.alignment = align(out.scan, design, settings, Rng(kSeed).stream("align"));
  return out;
}

/// The part would not fit the design in any other unit: a plane fits in all.
bool settles_unit(const Alignment& alignment) {
  return alignment.found && !alignment.loose;
}

/// A pose that was found beats none; then the one that explains more of the scan.
bool better(const Alignment& a, const Alignment& b) {
  if (settles_unit(a) != settles_unit(b)) return settles_unit(a);
  if (a.found != b.found) return a.found;
  return a.overlap > b.overlap;
}

}  // namespace

Placed place(const Scan& raw, const SurfaceIndex& design, const Plan& plan) {
  const auto units = plausible_units(raw, design.mesh(), plan.scan_units);
  // What no scanner can see must not pull at the scan.
  std::optional<SurfaceIndex> outside;
  if (auto seen = seen_from_outside(design.mesh())) outside.emplace(std::move(*seen));
  const SurfaceIndex& lies_on = outside ? *outside : design;
  std::optional<Placed> best;
  const auto try_units = [&](SmallPart small_part) {
    for (const UnitChoice& unit : units) {
      if (best && settles_unit(best->alignment)) return;
      Placed other = place_in(unit, small_part, raw, lies_on, plan);
      if (!best || better(other.alignment, best->alignment)) best = std::move(other);
    }
  };
  try_units(SmallPart::Never);
  // Only where the design explains little of the scan in every unit may it be a small part of it.
  if (best->alignment.overlap < AlignSettings().least_overlap) try_units(SmallPart::Only);
  if (settles_unit(best->alignment)) best->units.certain = true;
  return std::move(*best);
}

Inspection inspect(Design design, RawScan source, const Plan& as_written, const RunInfo& run,
                   const Narrator& narrate, const InspectSettings& inspect_settings,
                   const std::vector<Mate>& mates) {
  const auto tell = [&](const std::string& what) {
    if (narrate) narrate(what);
  };
  Inspection out;
  out.run = run;
  out.plan = as_written;
  out.mates = mates;
  const double diagonal_mm = bounding_box(design.mesh.vertices_mm).diagonal_mm();
  const double cell_mm = cell_edge_mm(as_written.least_area_mm2, diagonal_mm);
  design.triangles_read = design.mesh.triangles.cols();
  design.mesh = even_triangles(std::move(design.mesh), cell_mm);
  const SurfaceIndex index(design.mesh);
  out.notes = find_zone_faces(out.plan.zones, index, out.plan.file.filename().u8string());
  const Plan& plan = out.plan;

  tell("aligning " + std::to_string(source.scan.size()) + " points");
  // The cells, holes and slots need nothing of the scan: they are made meanwhile.
  Placed placed;
  std::optional<CellTree> tree;
  FoundOpenings openings;
  run_together({[&] { placed = place(source.scan, index, plan); },
                [&] { tree.emplace(design.mesh, cell_mm); },
                [&] { openings = find_openings(design.mesh); }});
  out.scan = std::move(placed.scan);
  out.units = placed.units;
  out.tidy = placed.tidy;
  out.alignment = std::move(placed.alignment);

  tell("comparing");
  if (inspect_settings.prove_all) tell("proving " + std::to_string(out.scan.size()) + " readings");
  const PoseJudge judge{plan,           index,    design.health, *tree,    openings.holes,
                        openings.slots, out.scan, out.units,     out.tidy, out.mates};
  ProofSettings proof;
  if (inspect_settings.prove_all) proof.points = 0;
  ReadInPose read = judge.read_at(out.alignment.T_design_scan, proof);
  if (inspect_settings.prove_all) {
    tell("proved: none differs by more than " + shortest(read.proof.largest_mm) + " mm");
  }

  tell("judging");
  Judgement judgement = judge.judge_in_each(read, out.alignment);
  out.deviations = std::move(read.deviations);
  out.proof = read.proof;
  out.surface.readings = std::move(read.readings);
  out.verdict = std::move(judgement.verdict);
  out.surface.region = std::move(judgement.region_of_cell);
  out.surface.cells = std::move(*tree).take_cells();

  const auto note = [&](const std::vector<std::string>& notes) {
    out.notes.insert(out.notes.end(), notes.begin(), notes.end());
  };
  note(judgement.notes);
  note(design.health.repairs);
  note(source.notes);
  source.scan = {};
  out.design = std::move(design);
  out.source = std::move(source);
  return out;
}

Inspection inspect(const Plan& plan, const std::filesystem::path& scan_file, const RunInfo& run,
                   const Narrator& narrate, const InspectSettings& inspect_settings) {
  if (narrate) {
    narrate("reading " + plan.design_path.filename().string() + " and " +
            scan_file.filename().string());
  }
  Design design;
  RawScan source;
  run_together({[&] { design = read_design(plan.design_path, plan.design_units); },
                [&] { source = read_scan(scan_file); }});
  const std::vector<Mate> mates = measure_mates(plan, narrate);
  return inspect(std::move(design), std::move(source), plan, run, narrate, inspect_settings, mates);
}

}  // namespace trammel
