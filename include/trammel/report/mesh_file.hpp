#pragma once

/// Meshes and scans as files for other programs.

#include <Eigen/Core>
#include <string>

#include "trammel/model/mesh.hpp"
#include "trammel/model/scan.hpp"

namespace trammel {

/// Binary STL for ".stl", text OBJ for ".obj", binary PLY for all else; places single precision.
/// @param ending        of the file's name, with its dot, any case
/// @param mm_per_unit   coordinates are divided by it
[[nodiscard]] std::string mesh_file_bytes(const Mesh& mesh, const std::string& ending,
                                          double mm_per_unit);

/// Binary PLY of points, with normals where the scan has them.
[[nodiscard]] std::string scan_file_bytes(const Scan& scan, double mm_per_unit);

/// Farthest way that a vertex moves by being written, mm.
[[nodiscard]] double written_rounding_mm(const Mesh& mesh, double mm_per_unit);

}  // namespace trammel
