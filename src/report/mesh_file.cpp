#include "trammel/report/mesh_file.hpp"

#include <algorithm>

#include "byte_writer.hpp"
#include "trammel/base/numbers.hpp"

namespace trammel {
namespace {

Eigen::Vector3d corner_of(const Mesh& mesh, Eigen::Index triangle, int k, double mm_per_unit) {
  return mesh.vertices_mm.col(mesh.triangles(k, triangle)) / mm_per_unit;
}

std::string binary_stl(const Mesh& mesh, double mm_per_unit) {
  constexpr std::size_t kHead = 80, kFacet = 50;
  const auto count = static_cast<std::size_t>(mesh.triangles.cols());
  std::string bytes(kHead + 4 + kFacet * count, '\0');
  const std::string words = "written by trammel";
  std::copy(words.begin(), words.end(), bytes.begin());
  ByteWriter out(bytes.data() + kHead);
  out.put(static_cast<std::uint32_t>(count));
  for (Eigen::Index f = 0; f < mesh.triangles.cols(); ++f) {
    const Eigen::Vector3d area = area_vector(mesh, f);
    out.put(area.norm() > 0.0 ? Eigen::Vector3d(area.normalized()) : area);
    for (int k = 0; k < 3; ++k)
      out.put(corner_of(mesh, f, k, mm_per_unit));
    out.put_byte(0);
    out.put_byte(0);
  }
  return bytes;
}

std::string binary_ply(const Mesh& mesh, double mm_per_unit) {
  std::string bytes = "ply\nformat binary_little_endian 1.0\nelement vertex " +
                      std::to_string(mesh.vertices_mm.cols()) +
                      "\nproperty float x\nproperty float y\nproperty float z\nelement face " +
                      std::to_string(mesh.triangles.cols()) +
                      "\nproperty list uchar int vertex_indices\nend_header\n";
  const std::size_t start = bytes.size();
  bytes.resize(start + 12 * static_cast<std::size_t>(mesh.vertices_mm.cols()) +
               13 * static_cast<std::size_t>(mesh.triangles.cols()));
  ByteWriter out(bytes.data() + start);
  for (Eigen::Index i = 0; i < mesh.vertices_mm.cols(); ++i)
    out.put(Eigen::Vector3d(mesh.vertices_mm.col(i) / mm_per_unit));
  for (Eigen::Index f = 0; f < mesh.triangles.cols(); ++f) {
    out.put_byte(3);
    for (int k = 0; k < 3; ++k)
      out.put(static_cast<std::uint32_t>(mesh.triangles(k, f)));
  }
  return bytes;
}

std::string text_obj(const Mesh& mesh, double mm_per_unit) {
  std::string text = "# written by trammel\n";
  for (Eigen::Index i = 0; i < mesh.vertices_mm.cols(); ++i) {
    text += 'v';
    for (int k = 0; k < 3; ++k)
      text +=
          ' ' +
          shortest(static_cast<double>(static_cast<float>(mesh.vertices_mm(k, i) / mm_per_unit)));
    text += '\n';
  }
  for (Eigen::Index f = 0; f < mesh.triangles.cols(); ++f) {
    text += 'f';
    for (int k = 0; k < 3; ++k)
      text += ' ' + std::to_string(mesh.triangles(k, f) + 1);
    text += '\n';
  }
  return text;
}

}  // namespace

std::string mesh_file_bytes(const Mesh& mesh, const std::string& ending, double mm_per_unit) {
  std::string lower = ending;
  std::transform(lower.begin(), lower.end(), lower.begin(),
                 [](char c) { return c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c; });
  if (lower == ".stl") return binary_stl(mesh, mm_per_unit);
  if (lower == ".obj") return text_obj(mesh, mm_per_unit);
  return binary_ply(mesh, mm_per_unit);
}

std::string scan_file_bytes(const Scan& scan, double mm_per_unit) {
  const bool normals = scan.has_normals();
  std::string bytes = "ply\nformat binary_little_endian 1.0\nelement vertex " +
                      std::to_string(scan.size()) +
                      "\nproperty float x\nproperty float y\nproperty float z\n";
  if (normals) bytes += "property float nx\nproperty float ny\nproperty float nz\n";
  bytes += "end_header\n";
  const std::size_t start = bytes.size();
  bytes.resize(start + (normals ? 24U : 12U) * static_cast<std::size_t>(scan.size()));
  ByteWriter out(bytes.data() + start);
  for (Eigen::Index i = 0; i < scan.size(); ++i) {
    out.put(Eigen::Vector3d(scan.points_mm.col(i) / mm_per_unit));
    if (normals) out.put(Eigen::Vector3d(scan.normals.col(i)));
  }
  return bytes;
}

double written_rounding_mm(const Mesh& mesh, double mm_per_unit) {
  double worst = 0.0;
  for (Eigen::Index i = 0; i < mesh.vertices_mm.cols(); ++i) {
    const Eigen::Vector3d there = mesh.vertices_mm.col(i) / mm_per_unit;
    const Eigen::Vector3f narrow = there.cast<float>();
    worst = std::max(worst, (narrow.cast<double>() - there).norm() * mm_per_unit);
  }
  return worst;
}

}  // namespace trammel
