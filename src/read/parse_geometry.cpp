#include <array>
#include <cmath>
#include <limits>
#include <string>
#include <utility>

#include "text_source.hpp"
#include "trammel/read/raw_geometry.hpp"

namespace trammel {
namespace {

using Parser = RawGeometry (*)(std::string_view, const std::string&);

constexpr const char* kKnownFormats =
    "Give STL, PLY, OBJ, OFF or text of points (.xyz .txt .csv .asc .pts)";

std::string lower_ending(const std::string& name) {
  const std::size_t dot = name.rfind('.');
  std::string ending = dot == name.npos ? std::string{} : name.substr(dot + 1);
  for (char& c : ending)
    c = c >= 'A' && c <= 'Z' ? static_cast<char>(c + 32) : c;
  return ending;
}

std::string_view first_word(std::string_view text) {
  const std::size_t begin = text.find_first_not_of(" \t\r\n");
  if (begin == text.npos) return {};
  return text.substr(begin, text.find_first_of(" \t\r\n", begin) - begin);
}

/// The size that a binary STL's count asks for.
bool has_stl_size(std::string_view bytes) {
  if (bytes.size() < 84) return false;
  std::size_t count = 0;
  for (std::size_t i = 83; i >= 80; --i)
    count = count << 8U | static_cast<unsigned char>(bytes[i]);
  return bytes.size() == 84 + 50 * count;
}

/// By the words and sizes that only one format has; null where there are none.
Parser parser_by_content(std::string_view bytes) {
  if (bytes.substr(0, 3) == "\xEF\xBB\xBF") bytes.remove_prefix(3);
  const std::string_view word = first_word(bytes.substr(0, 1000));
  if (word == "ply") return parse_ply;
  for (const char* keyword : {"OFF", "COFF", "NOFF", "CNOFF", "STOFF"}) {
    if (word == keyword) return parse_off;
  }
  if (has_stl_size(bytes) || read::equals_ignoring_case(word, "solid")) return parse_stl;
  return nullptr;
}

Parser parser_by_ending(const std::string& ending) {
  if (ending == "stl") return parse_stl;
  if (ending == "ply") return parse_ply;
  if (ending == "obj") return parse_obj;
  if (ending == "off") return parse_off;
  for (const char* text : {"xyz", "txt", "csv", "asc", "pts", "xyzn", "xyzrgb"}) {
    if (ending == text) return parse_xyz;
  }
  return nullptr;
}

/// Other formats that people have, by their first bytes, so that the message can name them.
std::string foreign_format(std::string_view bytes) {
  constexpr std::array<std::pair<std::string_view, const char*>, 11> kSigns = {
      {{"PK\x03\x04", "a ZIP archive such as 3MF"},
       {"ISO-10303-21", "a STEP file"},
       {"LASF", "a LAS file"},
       {"ASTM-E57", "an E57 file"},
       {"%PDF", "a PDF file"},
       {"glTF", "a glTF file"},
       {"\x1F\x8B", "a file compressed with gzip: unpack it first"},
       {"BZh", "a file compressed with bzip2: unpack it first"},
       {"\xFD"
        "7zXZ",
        "a file compressed with xz: unpack it first"},
       {"\x28\xB5\x2F\xFD", "a file compressed with zstd: unpack it first"},
       {"7z\xBC\xAF", "a 7-Zip archive: unpack it first"}}};
  for (const auto& [sign, words] : kSigns) {
    if (bytes.substr(0, sign.size()) == sign) return words;
  }
  return {};
}

/// Beyond any part in any unit. Floats read in the wrong byte order mostly lie there.
constexpr double kLeastCoordinate = 1e-30, kMostCoordinate = 1e15;

/// @throws Error Input when most of the coordinates that are not zero cannot be a part's
void check_magnitudes(const RawGeometry& geometry, const std::string& name) {
  Eigen::Index told = 0, strange = 0;
  double example = 0.0;
  for (Eigen::Index i = 0; i < geometry.points.size(); ++i) {
    const double size = std::abs(geometry.points.data()[i]);
    if (size == 0.0 || !std::isfinite(size)) continue;
    ++told;
    if (size >= kLeastCoordinate && size <= kMostCoordinate) continue;
    ++strange;
    example = geometry.points.data()[i];
  }
  if (2 * strange <= told) return;
  throw Error(
      ErrorKind::Input, name,
      "expected the coordinates of a part, found mostly numbers such as " + shortest(example),
      "The bytes may stand in the other order than the file says; save it again");
}

/// So many times its own size from the origin a part's coordinates are too coarse to be measured
/// by.
constexpr double kMostDistance = 1e7;

/// @throws Error Input where the part lies too far from its origin
void check_distance(const RawGeometry& geometry, const std::string& name) {
  Eigen::Array3d low = Eigen::Array3d::Constant(std::numeric_limits<double>::infinity());
  Eigen::Array3d high = -low;
  for (const Eigen::Vector3d p : geometry.points.colwise()) {
    if (!p.allFinite()) continue;
    low = low.min(p.array());
    high = high.max(p.array());
  }
  const double size = (high - low).matrix().norm();
  const double distance = low.abs().max(high.abs()).maxCoeff();
  if (!(size > 0.0) || !(distance > kMostDistance * size)) return;
  throw Error(ErrorKind::Input, name,
              "expected a part near its origin, found one of " + shortest(size) + " that lies " +
                  shortest(distance) + " from it",
              "Its coordinates have no digits left for it; move it nearer and save it again");
}

}  // namespace

RawGeometry parse_geometry(std::string_view bytes, const std::string& name) {
  if (bytes.empty()) {
    throw Error(ErrorKind::Input, name, "expected a mesh or points, found an empty file",
                read::kSaveAgain);
  }
  read::check_not_utf16(bytes, name);
  const std::string foreign = foreign_format(bytes);
  if (!foreign.empty()) {
    throw Error(ErrorKind::Input, name, "expected a mesh or points, found " + foreign,
                kKnownFormats);
  }
  Parser parser = parser_by_content(bytes);
  if (parser == nullptr) parser = parser_by_ending(lower_ending(name));
  if (parser == nullptr) {
    throw Error(ErrorKind::Input, name,
                "expected a mesh or points, found a format that neither the content nor the name's "
                "ending tells",
                kKnownFormats);
  }
  RawGeometry geometry = parser(bytes, name);
  check_magnitudes(geometry, name);
  check_distance(geometry, name);
  return geometry;
}

}  // namespace trammel
