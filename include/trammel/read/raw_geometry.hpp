#pragma once

/// What a geometry file holds, in the file's own units, before anything is mended or taken away.

#include <Eigen/Core>
#include <string>
#include <string_view>
#include <vector>

namespace trammel {

struct RawGeometry {
  Eigen::Matrix3Xd points;   ///< 3 × #V; not-finite coordinates are kept, tidying counts them
  Eigen::Matrix3Xd normals;  ///< 3 × #V as stored (not yet unit), or 3 × 0
  Eigen::Matrix3Xi
      triangles;       ///< 3 × #F; faces with more corners are split into fans; may be empty
  std::string format;  ///< "PLY, binary little-endian", "STL, ASCII", …
  std::vector<std::string> notes;  ///< what the reader had to decide, one sentence each
};

/// Each parser takes the whole file and its name for messages.
/// @throws Error Input with "name:line" (text) or "name, byte N" (binary), what was expected and
/// found.
///         Counts in headers are checked against the bytes there are before anything is reserved.
[[nodiscard]] RawGeometry parse_stl(std::string_view bytes, const std::string& name);
[[nodiscard]] RawGeometry parse_ply(std::string_view bytes, const std::string& name);
[[nodiscard]] RawGeometry parse_obj(std::string_view bytes, const std::string& name);
[[nodiscard]] RawGeometry parse_off(std::string_view bytes, const std::string& name);
/// Text with 3 or more numbers a line: x y z, then optionally a unit normal in columns 4 to 6 when
/// all lines have six columns of unit length. Blanks, tabs, commas or semicolons; '#', '//' and
/// header lines.
[[nodiscard]] RawGeometry parse_xyz(std::string_view bytes, const std::string& name);

/// Chooses the parser by content first (magic words, sizes), then by the name's ending.
/// @throws Error Input as the parsers do, and when most coordinates are beyond any part in any unit
///         (1e-30 to 1e15), as floats are that were read in the wrong byte order
[[nodiscard]] RawGeometry parse_geometry(std::string_view bytes, const std::string& name);

}  // namespace trammel
