#include "support/mesh_files.hpp"

#include <cstdint>
#include <cstring>

namespace trammel::test {
namespace {

static_assert(__BYTE_ORDER__ == __ORDER_LITTLE_ENDIAN__, "bytes are copied as they lie in memory");

template <typename T>
void append(std::string& bytes, T value) {
  char raw[sizeof(T)];
  std::memcpy(raw, &value, sizeof(T));
  bytes.append(raw, sizeof(T));
}

void append(std::string& bytes, const Eigen::Vector3d& p) {
  for (const double coordinate : p)
    append(bytes, static_cast<float>(coordinate));
}

std::string ply_header(Eigen::Index points, bool normals) {
  std::string text = "ply\nformat binary_little_endian 1.0\nelement vertex " +
                     std::to_string(points) +
                     "\nproperty float x\nproperty float y\nproperty float z\n";
  if (normals) text += "property float nx\nproperty float ny\nproperty float nz\n";
  return text;
}

}  // namespace

std::string stl_bytes(const Mesh& mesh) {
  std::string bytes(80, ' ');
  append(bytes, static_cast<std::uint32_t>(mesh.triangles.cols()));
  for (Eigen::Index i = 0; i < mesh.triangles.cols(); ++i) {
    append(bytes, Eigen::Vector3d(area_vector(mesh, i).normalized()));
    for (const int corner : mesh.triangles.col(i))
      append(bytes, Eigen::Vector3d(mesh.vertices_mm.col(corner)));
    append(bytes, std::uint16_t{0});
  }
  return bytes;
}

std::string ply_bytes(const Mesh& mesh) {
  std::string bytes = ply_header(mesh.vertices_mm.cols(), false) + "element face " +
                      std::to_string(mesh.triangles.cols()) +
                      "\nproperty list uchar int vertex_indices\nend_header\n";
  for (Eigen::Index i = 0; i < mesh.vertices_mm.cols(); ++i)
    append(bytes, Eigen::Vector3d(mesh.vertices_mm.col(i)));
  for (Eigen::Index i = 0; i < mesh.triangles.cols(); ++i) {
    append(bytes, std::uint8_t{3});
    for (const int corner : mesh.triangles.col(i))
      append(bytes, static_cast<std::int32_t>(corner));
  }
  return bytes;
}

std::string ply_bytes(const Scan& scan) {
  const bool normals = scan.has_normals();
  std::string bytes = ply_header(scan.size(), normals) + "end_header\n";
  for (Eigen::Index i = 0; i < scan.size(); ++i) {
    append(bytes, Eigen::Vector3d(scan.points_mm.col(i)));
    if (normals) append(bytes, Eigen::Vector3d(scan.normals.col(i)));
  }
  return bytes;
}

}  // namespace trammel::test
