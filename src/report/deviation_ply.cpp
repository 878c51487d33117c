#include "byte_writer.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/report/colours.hpp"
#include "trammel/report/report.hpp"

namespace trammel {
namespace {

std::string header(std::size_t points, bool with_normals, bool with_deviation) {
  std::string text = "ply\nformat binary_little_endian 1.0\n";
  text += with_deviation
              ? "comment scanned points in design coordinates, mm; deviation in mm, + proud, nan: "
                "no reading\n"
              : "comment scanned points in design coordinates, mm\n";
  text += "element vertex " + std::to_string(points) + "\n";
  const auto property = [&](const char* words) { text += "property " + std::string(words) + "\n"; };
  for (const char* name : {"float x", "float y", "float z"})
    property(name);
  if (with_normals) {
    for (const char* name : {"float nx", "float ny", "float nz"})
      property(name);
  }
  if (with_deviation) {
    for (const char* name : {"uchar red", "uchar green", "uchar blue", "float deviation"})
      property(name);
  }
  return text + "end_header\n";
}

/// One row a kept point: place, normal where known, colour and deviation where asked for.
std::string scan_ply(const Inspection& inspection, bool with_deviation) {
  const Scan& scan = inspection.scan;
  const Deviations& deviations = inspection.deviations;
  const Eigen::Isometry3d& T_design_scan = inspection.alignment.T_design_scan;
  const bool with_normals = scan.has_normals();
  const auto points = static_cast<std::size_t>(scan.size());
  const std::size_t stride = (with_normals ? 24U : 12U) + (with_deviation ? 7U : 0U);
  std::string bytes = header(points, with_normals, with_deviation);
  const std::size_t start = bytes.size();
  bytes.resize(start + points * stride);
  for_each_index(points, [&](std::size_t index) {
    const auto i = static_cast<Eigen::Index>(index);
    ByteWriter out(&bytes[start + index * stride]);
    out.put(Eigen::Vector3d(T_design_scan * scan.points_mm.col(i)));
    if (with_normals) out.put(Eigen::Vector3d(T_design_scan.linear() * scan.normals.col(i)));
    if (!with_deviation) return;
    const double deviation = deviations.signed_mm[i];
    out.put(colour_of(deviation, band_at(inspection.plan, deviations.foot_mm.col(i)).band));
    out.put(deviation);
  });
  return bytes;
}

}  // namespace

std::string deviation_ply(const Inspection& inspection) {
  return scan_ply(inspection, true);
}

std::string aligned_scan_ply(const Inspection& inspection) {
  return scan_ply(inspection, false);
}

}  // namespace trammel
