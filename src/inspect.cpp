#include "trammel/inspect.hpp"

#include <optional>
#include <utility>

#include "place.hpp"
#include "pose_judge.hpp"
#include "trammel/base/constants.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/compare/cell_readings.hpp"
#include "trammel/geometry/even_triangles.hpp"
#include "trammel/geometry/find_openings.hpp"
#include "trammel/geometry/flat_faces.hpp"
#include "trammel/geometry/smooth_face.hpp"
#include "trammel/geometry/surface_cells.hpp"
#include "trammel/geometry/surface_index.hpp"
#include "trammel/read/read_files.hpp"

namespace trammel {

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
  // The cells, holes, slots and flat faces need nothing of the scan: they are made meanwhile.
  PlacedInOwnFrame own;
  std::optional<CellTree> tree;
  FoundOpenings openings;
  FlatFaces faces;
  const auto lay_scan = [&] {
    ScanInOwnFrame scan;
    std::optional<SurfaceIndex> outside;
    run_together({[&] { scan = in_own_frame(std::move(source.scan), design.mesh, plan); },
                  [&] {
                    tree.emplace(index, cell_mm);
                    if (tree->is_uncut()) tree->make_rays();
                    outside = outside_of(design.mesh, tree->is_uncut() ? &tree->cells() : nullptr);
                  }});
    own = place_in_own_frame(std::move(scan), outside ? *outside : index, plan);
  };
  run_together({lay_scan, [&] { openings = find_openings(design.mesh); },
                [&] { faces = find_flat_faces(index); }});
  out.scan = std::move(own.placed.scan);
  out.units = own.placed.units;
  out.tidy = own.placed.tidy;
  out.alignment = std::move(own.placed.alignment);

  tell("comparing");
  if (inspect_settings.prove_all) tell("proving " + std::to_string(out.scan.size()) + " readings");
  const PoseJudge judge{plan,  index,    design.health, *tree,    openings.holes, openings.slots,
                        faces, out.scan, out.units,     out.tidy, out.mates};
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
  set_back(out.scan, out.alignment, own.T_own_scan);

  const auto note = [&](const std::vector<std::string>& notes) {
    out.notes.insert(out.notes.end(), notes.begin(), notes.end());
  };
  note(judgement.notes);
  note(design.health.repairs);
  note(source.notes);
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
