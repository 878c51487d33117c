#include "trammel/report/changes_files.hpp"

#include <cmath>
#include <limits>
#include <nlohmann/json.hpp>

#include "byte_writer.hpp"
#include "json_text.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/report/csv_tables.hpp"

namespace trammel {
namespace {

using ChangesJson = nlohmann::ordered_json;

ChangesJson scan_file_json(const ScanFile& file, double area_mm2) {
  return {{"file", file.file},
          {"sha256", file.sha256},
          {"points", file.points},
          {"kept", file.tidy.kept},
          {"unit_scale", json_number(file.units.mm_per_unit)},
          {"area", json_number(area_mm2)}};
}

/// A pose that was not found is no pose: null, never the identity.
ChangesJson fit_json(const ScanFit& fit) {
  const Alignment& a = fit.alignment;
  ChangesJson motion = a.found ? json_matrix(fit.T_old_new()) : ChangesJson(nullptr);
  return {{"method", a.method},
          {"new_to_old", std::move(motion)},
          {"found", a.found},
          {"converged", a.converged},
          {"ambiguous", a.ambiguous},
          {"rms", json_number(a.rms_mm)},
          {"overlap", json_number(a.overlap)},
          {"standard_error", json_number(a.standard_error_mm)},
          {"noise", json_number(fit.noise_mm)},
          {"sides_known", fit.sides_known},
          {"doubts", a.doubts},
          {"free_directions", a.free_directions}};
}

ChangesJson change_json(const Change& change) {
  return {{"id", change.id},
          {"kind", kind_name(change.kind)},
          {"peak", json_number(change.peak_mm)},
          {"area", json_number(change.area_mm2)},
          {"center", json_vector(change.center_mm)},
          {"mean", json_number(change.mean_mm)},
          {"volume", json_number(change.volume_mm3)},
          {"detectable", json_number(change.detectable_mm)},
          {"normal", json_vector(change.normal)}};
}

void put_core(ByteWriter& out, const CorePoints& cores, Eigen::Index i, Rgb colour, double change,
              double detectable, std::uint8_t seen) {
  out.put(Eigen::Vector3d(cores.points_mm.col(i)));
  out.put(Eigen::Vector3d(cores.normals.col(i)));
  out.put(colour);
  out.put(change);
  out.put(detectable);
  out.put_byte(seen);
}

ChangesJson open_places_json(const std::vector<OpenPlace>& places) {
  ChangesJson out = ChangesJson::array();
  for (const OpenPlace& place : places)
    out.push_back({{"shown_by", place.in_old ? "old" : "new"},
                   {"area", json_number(place.area_mm2)},
                   {"center", json_vector(place.center_mm)},
                   {"normal", json_vector(place.normal)}});
  return out;
}

}  // namespace

Rgb change_colour(const Changes& changes, Eigen::Index core) {
  const auto at = static_cast<std::size_t>(core);
  switch (changes.cores.state[at]) {
    case CoreState::OnlyOld: return kPaper;
    case CoreState::Unsure: return kNotMeasured;
    case CoreState::Same:
    case CoreState::Changed: break;
  }
  const double least = changes.settings.least_mm;
  return colour_of(changes.cores.change_mm[core], {least, least});
}

std::string changes_json(const Changes& c) {
  ChangesJson list = ChangesJson::array();
  for (const Change& change : c.changes)
    list.push_back(change_json(change));
  ChangesJson result;
  result["schema"] = 1;
  result["version"] = c.run.version;
  result["verdict"] = outcome_name(c.outcome);
  result["reasons"] = c.reasons;
  result["old"] = scan_file_json(c.old_file, c.coverage.old_mm2);
  result["new"] = scan_file_json(c.new_file, c.coverage.new_mm2);
  result["least"] = json_number(c.settings.least_mm);
  result["least_area"] = json_number(c.least_area_mm2);
  result["uncertainty"] = json_number(c.settings.uncertainty_mm);
  result["alignment"] = fit_json(c.fit);
  result["coverage"] = {{"seen_fraction", json_number(c.coverage.common_share())},
                        {"seen_area", json_number(c.coverage.common_mm2)},
                        {"only_old", json_number(c.coverage.only_old_mm2)},
                        {"only_new", json_number(c.coverage.only_new_mm2)},
                        {"same", json_number(c.coverage.same_mm2)},
                        {"changed", json_number(c.coverage.changed_mm2)},
                        {"unsure", json_number(c.coverage.unsure_mm2)}};
  result["detection"] = {{"typical", json_number(c.typical_detectable_mm)},
                         {"normal_scale", json_number(c.scales.normal_mm)},
                         {"cylinder", json_number(c.scales.cylinder_mm)},
                         {"depth", json_number(c.scales.depth_mm)},
                         {"spacing", json_number(c.scales.core_mm)},
                         {"roughness", json_number(c.scales.roughness_mm)}};
  result["changes"] = std::move(list);
  result["open_places"] = open_places_json(c.open_places);
  result["notes"] = c.notes;
  return json_text(result);
}

std::string changes_csv(const Changes& c) {
  std::string csv = std::string(
                        "id,kind,peak_mm,mean_mm,detectable_mm,area_mm2,volume_mm3,x_mm,y_mm,z_mm,"
                        "normal_x,normal_y,normal_z") +
                    kCsvLineEnd;
  for (const Change& change : c.changes) {
    csv += std::to_string(change.id) + "," + kind_name(change.kind);
    for (const double value :
         {change.peak_mm, change.mean_mm, change.detectable_mm, change.area_mm2, change.volume_mm3,
          change.center_mm.x(), change.center_mm.y(), change.center_mm.z(), change.normal.x(),
          change.normal.y(), change.normal.z()})
      csv += "," + (std::isfinite(value) ? shortest(value) : std::string());
    csv += kCsvLineEnd;
  }
  return csv;
}

std::string changed_ply(const Changes& c) {
  constexpr std::size_t kStride = 6 * 4 + 3 + 2 * 4 + 1;
  const auto count = static_cast<std::size_t>(c.cores.size() + c.new_only.size());
  std::string bytes =
      "ply\nformat binary_little_endian 1.0\n"
      "comment change from the old to the new scan, old scan's coordinates, mm; + proud\n"
      "element vertex " +
      std::to_string(count) +
      "\nproperty float x\nproperty float y\nproperty float z\n"
      "property float nx\nproperty float ny\nproperty float nz\n"
      "property uchar red\nproperty uchar green\nproperty uchar blue\n"
      "property float change\nproperty float detectable\nproperty uchar seen\nend_header\n";
  const std::size_t start = bytes.size();
  bytes.resize(start + count * kStride);
  constexpr double kNothing = std::numeric_limits<double>::quiet_NaN();
  ByteWriter out(bytes.data() + start);
  for (Eigen::Index i = 0; i < c.cores.size(); ++i) {
    const bool only_old = c.cores.state[static_cast<std::size_t>(i)] == CoreState::OnlyOld;
    put_core(out, c.cores, i, change_colour(c, i), c.cores.change_mm[i], c.cores.detectable_mm[i],
             only_old ? 1 : 0);
  }
  for (Eigen::Index i = 0; i < c.new_only.size(); ++i)
    put_core(out, c.new_only, i, kHatch, kNothing, kNothing, 2);
  return bytes;
}

}  // namespace trammel
