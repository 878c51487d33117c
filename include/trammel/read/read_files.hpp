#pragma once

/// Files to values: the design, mended and in mm; the scan as points.

#include <filesystem>

#include "trammel/base/files.hpp"
#include "trammel/model/inspection.hpp"
#include "trammel/read/raw_geometry.hpp"

namespace trammel {

/// Reads and mends the design and scales it to mm. What reading had to say joins the mesh's
/// repairs.
/// @throws Error Missing, or Input when the file holds no triangles, or when these measure less
/// than
///         0.001 mm or more than 10 km
[[nodiscard]] Design read_design(const std::filesystem::path& path, Unit unit);

/// Reads a scan. A mesh becomes points with exact normals (`scan_from_mesh`), unless its triangles
/// join less than half of the points that the file holds. `points_mm` are in file units. Stored
/// normals are made unit; when one of them is zero or not finite, all are dropped with a note.
/// @throws Error Missing, or Input when the file holds fewer than 3 finite points
[[nodiscard]] RawScan read_scan(const std::filesystem::path& path);
/// The same of a file that is open already and stays so, to be read again.
[[nodiscard]] RawScan read_scan(const FileBytes& bytes, const std::string& name);

/// The triangles of a file as a mesh, without those that touch a corner that is not finite.
struct FiniteMesh {
  Mesh mesh;                ///< corners of triangles are finite; other vertices may not be
  std::size_t dropped = 0;  ///< triangles
};
[[nodiscard]] FiniteMesh finite_mesh(RawGeometry geometry, const std::string& name);

/// Points on a mesh scan, with the normals of the triangles they lie on.
///
/// The mesh is mended first, so that welded, consistently wound triangles tell the normals. A
/// triangle whose longest side is under 1/300 of the mesh's width (twice the way from the mean of
/// its vertices to the farthest, the same in any pose) gives its centre; a larger one
/// gives rows of points along its longest side, so that neighbours lie no farther apart than that
/// and a flat face of two triangles counts as the surface it is. Vertices are not used: on a sharp
/// edge they have no normal. The step is widened until at most about 2 million points are made
/// beyond one a triangle. Triangles without area give none.
/// @return  `scan` in file units, `file` = `name`, `notes`; no sha256
[[nodiscard]] RawScan scan_from_mesh(RawGeometry mesh, const std::string& name);

}  // namespace trammel
