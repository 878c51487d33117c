#pragma once

/// Geometry as the bytes of a file, for tests and the demo. Binary, little-endian, float32.

#include <string>

#include "trammel/model/mesh.hpp"
#include "trammel/model/scan.hpp"

namespace trammel::test {

[[nodiscard]] std::string stl_bytes(const Mesh& mesh);
/// Vertices and faces.
[[nodiscard]] std::string ply_bytes(const Mesh& mesh);
/// Points, and normals where the scan has them.
[[nodiscard]] std::string ply_bytes(const Scan& scan);

}  // namespace trammel::test
