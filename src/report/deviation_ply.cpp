#include <algorithm>
#include <cstdint>
#include <limits>

#include "trammel/base/parallel.hpp"
#include "trammel/report/colours.hpp"
#include "trammel/report/report.hpp"

namespace trammel {
namespace {

/// IEEE 754 single precision, least significant byte first, on any machine.
class ByteWriter {
 public:
  explicit ByteWriter(char* at) : at_(at) {}
  void put(double value) {
    const auto narrow = static_cast<float>(value);
    std::uint32_t bits = 0;
    static_assert(sizeof(bits) == sizeof(narrow) && std::numeric_limits<float>::is_iec559);
    std::copy_n(reinterpret_cast<const char*>(&narrow), sizeof(bits),
                reinterpret_cast<char*>(&bits));
    for (int shift = 0; shift < 32; shift += 8)
      *at_++ = static_cast<char>((bits >> shift) & 0xFFU);
  }
  void put(const Eigen::Vector3d& value) {
    for (int k = 0; k < 3; ++k)
      put(value[k]);
  }
  void put(Rgb colour) {
    for (const std::uint8_t channel : {colour.red, colour.green, colour.blue})
      *at_++ = static_cast<char>(channel);
  }

 private:
  char* at_;
};

std::string header(std::size_t points, bool with_normals) {
  std::string text =
      "ply\nformat binary_little_endian 1.0\n"
      "comment scanned points in design coordinates, mm; deviation in mm, + proud, nan: no "
      "reading\n"
      "element vertex " +
      std::to_string(points) + "\n";
  const auto property = [&](const char* words) { text += "property " + std::string(words) + "\n"; };
  for (const char* name : {"float x", "float y", "float z"})
    property(name);
  if (with_normals) {
    for (const char* name : {"float nx", "float ny", "float nz"})
      property(name);
  }
  for (const char* name : {"uchar red", "uchar green", "uchar blue"})
    property(name);
  property("float deviation");
  return text + "end_header\n";
}

}  // namespace

std::string deviation_ply(const Inspection& inspection) {
  const Scan& scan = inspection.scan;
  const Deviations& deviations = inspection.deviations;
  const Eigen::Isometry3d& T_design_scan = inspection.alignment.T_design_scan;
  const bool with_normals = scan.has_normals();
  const auto points = static_cast<std::size_t>(scan.size());
  const std::size_t stride = (with_normals ? 28U : 16U) + 3U;
  std::string bytes = header(points, with_normals);
  const std::size_t start = bytes.size();
  bytes.resize(start + points * stride);
  for_each_index(points, [&](std::size_t index) {
    const auto i = static_cast<Eigen::Index>(index);
    ByteWriter out(&bytes[start + index * stride]);
    out.put(Eigen::Vector3d(T_design_scan * scan.points_mm.col(i)));
    if (with_normals) out.put(Eigen::Vector3d(T_design_scan.linear() * scan.normals.col(i)));
    const double deviation = deviations.signed_mm[i];
    out.put(colour_of(deviation, band_at(inspection.plan, deviations.foot_mm.col(i)).band));
    out.put(deviation);
  });
  return bytes;
}

}  // namespace trammel
