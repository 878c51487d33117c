#include <cmath>
#include <string>
#include <vector>

#include "face_list.hpp"
#include "text_source.hpp"
#include "trammel/read/raw_geometry.hpp"

namespace trammel {
namespace {

struct OffHeader {
  bool normals = false;
  std::size_t vertices = 0, faces = 0;
};

class OffParser {
 public:
  OffParser(std::string_view bytes, const std::string& name) : lines_(bytes, name) {}

  RawGeometry parse() {
    const OffHeader header = parse_header();
    RawGeometry geometry;
    geometry.format = "OFF";
    parse_vertices(header, geometry);
    parse_faces(header, geometry);
    if (next_line()) lines_.fail("expected the end of the file after the last face, found more");
    return geometry;
  }

 private:
  /// Goes to the next line that holds more than a comment.
  bool next_line() {
    while (lines_.next()) {
      rest_ = read::trimmed(lines_.line().substr(0, lines_.line().find('#')));
      if (!rest_.empty()) return true;
    }
    return false;
  }

  void need_line(const std::string& what) {
    if (!next_line()) lines_.fail("expected " + what + ", found the end of the file");
  }

  /// The keyword is [ST][C][N][4][n]OFF; counts may stand right behind it, and some writers leave
  /// it out.
  OffHeader parse_header() {
    OffHeader header;
    need_line("'OFF'");
    const std::size_t off = rest_.find("OFF");
    if (off != rest_.npos) {
      std::string_view prefix = rest_.substr(0, off);
      if (prefix.substr(0, 2) == "ST") prefix.remove_prefix(2);
      if (prefix.substr(0, 1) == "C") prefix.remove_prefix(1);
      header.normals = prefix.substr(0, 1) == "N";
      if (header.normals) prefix.remove_prefix(1);
      if (!prefix.empty()) {
        lines_.fail(
            "expected a file of three coordinates a vertex ('OFF', 'COFF', 'NOFF'), found " +
            read::quoted(rest_));
      }
      rest_.remove_prefix(off + 3);
      if (read::trimmed(rest_).substr(0, 6) == "BINARY") {
        lines_.fail("expected OFF as text, found binary OFF");
      }
    }
    if (read::trimmed(rest_).empty()) need_line("the numbers of vertices and faces");
    header.vertices = count("the number of vertices", 6);  // "0 0 0\n" is the shortest line
    header.faces = count("the number of faces", 2);
    return header;
  }

  std::size_t count(const std::string& what, std::size_t least_bytes_each) {
    const std::string_view word = read::take_word(rest_);
    const auto value = parse_double(word);
    const double most =
        static_cast<double>(lines_.bytes_left() + 1) / static_cast<double>(least_bytes_each);
    if (!value || *value < 0.0 || *value != std::floor(*value)) {
      lines_.fail("expected " + what + ", found " + read::quoted(word));
    }
    if (*value > most) {
      lines_.fail("expected " + what + " to fit the file, found " + read::quoted(word) + " for " +
                  std::to_string(lines_.bytes_left()) + " bytes");
    }
    return static_cast<std::size_t>(*value);
  }

  double number() {
    const std::string_view word = read::take_word(rest_);
    const auto value = read::coordinate(word);
    if (!value) lines_.fail("expected a number, found " + read::quoted(word));
    return *value;
  }

  void parse_vertices(const OffHeader& header, RawGeometry& geometry) {
    geometry.points.resize(3, static_cast<Eigen::Index>(header.vertices));
    if (header.normals) geometry.normals.resize(3, geometry.points.cols());
    for (Eigen::Index v = 0; v < geometry.points.cols(); ++v) {
      need_line("vertex " + std::to_string(v + 1) + " of " + std::to_string(header.vertices));
      for (int axis = 0; axis < 3; ++axis)
        geometry.points(axis, v) = number();
      for (int axis = 0; axis < 3 && header.normals; ++axis)
        geometry.normals(axis, v) = number();
    }
  }

  int corner(std::size_t vertices) {
    const std::string_view word = read::take_word(rest_);
    const auto value = parse_double(word);
    if (!value || *value < 0.0 || *value >= static_cast<double>(vertices) ||
        *value != std::floor(*value)) {
      lines_.fail("expected a vertex from 0, below " + std::to_string(vertices) + ", found " +
                  read::quoted(word));
    }
    return static_cast<int>(*value);
  }

  void parse_faces(const OffHeader& header, RawGeometry& geometry) {
    read::FaceList faces;
    std::vector<int> corners;
    for (std::size_t f = 0; f < header.faces; ++f) {
      need_line("face " + std::to_string(f + 1) + " of " + std::to_string(header.faces));
      const double size = number();
      if (!(size >= 0.0) || size > static_cast<double>(rest_.size()) || size != std::floor(size)) {
        lines_.fail("expected a number of corners and then as many vertices, found " +
                    read::quoted(read::trimmed(lines_.line())));
      }
      corners.clear();
      for (std::size_t i = 0; i < static_cast<std::size_t>(size); ++i)
        corners.push_back(corner(header.vertices));
      faces.add(corners);
    }
    faces.store_in(geometry);
  }

  read::TextLines lines_;
  std::string_view rest_;
};

}  // namespace

RawGeometry parse_off(std::string_view bytes, const std::string& name) {
  return OffParser(bytes, name).parse();
}

}  // namespace trammel
