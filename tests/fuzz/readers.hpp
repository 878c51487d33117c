#pragma once

/// The readers of files from strangers, one name each: for the fuzzers and for the test of their
/// seeds.

#include <string>
#include <string_view>
#include <vector>

namespace trammel::test {

/// "stl", "ply", "obj", "off", "xyz", "plan", and "scan": any of the formats, turned into what a
/// check would use.
[[nodiscard]] const std::vector<std::string>& reader_names();

/// Parses the bytes and looks at what comes out: an index points at a point, normals are none or
/// one a point.
/// @return the message of the Error Input that the reader answered with, empty when it could read
/// @throws anything else that the reader threw: a fault
std::string read_with(const std::string& reader, std::string_view bytes);

}  // namespace trammel::test
