#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <vector>

#include "face_list.hpp"
#include "text_source.hpp"
#include "trammel/read/raw_geometry.hpp"

namespace trammel {
namespace {

/// One line of the file with its continuation lines (those after a trailing backslash).
class ObjLines {
 public:
  ObjLines(std::string_view bytes, const std::string& name) : lines(bytes, name) {}

  bool next() {
    if (!lines.next()) return false;
    line = lines.line();
    if (line.empty() || line.back() != '\\') return true;
    joined_.assign(line.substr(0, line.size() - 1));
    while (lines.next()) {
      const std::string_view more = lines.line();
      const bool goes_on = !more.empty() && more.back() == '\\';
      joined_ += ' ';
      joined_ += goes_on ? more.substr(0, more.size() - 1) : more;
      if (!goes_on) break;
    }
    line = joined_;
    return true;
  }

  read::TextLines lines;
  std::string_view line;

 private:
  std::string joined_;
};

/// Keywords of OBJ that tell nothing of the shape. Those of free-form curves and surfaces are not
/// among them: a part that is half of these would be read half.
bool is_of_no_use(std::string_view keyword) {
  constexpr std::array<std::string_view, 21> kOfNoUse = {
      "vt",       "vp",       "l",          "p",         "o",      "g",     "s",
      "mg",       "mtllib",   "usemtl",     "maplib",    "usemap", "bevel", "lod",
      "c_interp", "d_interp", "shadow_obj", "trace_obj", "call",   "csh",   "newmtl"};
  return std::find(kOfNoUse.begin(), kOfNoUse.end(), keyword) != kOfNoUse.end();
}

class ObjParser {
 public:
  ObjParser(std::string_view bytes, const std::string& name) : source_(bytes, name) {}

  RawGeometry parse() {
    while (source_.next()) {
      std::string_view rest = source_.line.substr(0, source_.line.find('#'));
      const std::string_view keyword = read::take_word(rest);
      if (keyword == "v") {
        add_numbers(rest, points_);
      } else if (keyword == "vn") {
        add_numbers(rest, normals_);
      } else if (keyword == "f") {
        add_face(rest);
      } else if (!keyword.empty() && !is_of_no_use(keyword)) {
        source_.lines.fail(
            "expected a keyword of OBJ that tells of vertices and flat faces, found " +
                read::quoted(keyword),
            "Save the part again as a mesh; or take the line out if it is none of its shape");
      }
    }
    if (highest_.number >= static_cast<long long>(points_.size() / 3)) {
      read::fail_at_line(source_.lines.name(), highest_.line,
                         "expected a vertex from 1 to " + std::to_string(points_.size() / 3) +
                             ", found " + std::to_string(highest_.number + 1));
    }
    RawGeometry geometry;
    geometry.format = "OBJ";
    geometry.points = read::columns_of(points_);
    const bool has_faces = faces_.triangle_count() > 0;
    faces_.store_in(geometry);
    store_normals(has_faces, geometry);
    return geometry;
  }

 private:
  struct Corner {
    int vertex = -1, normal = -1;
  };
  struct Highest {
    long long number = -1;
    std::size_t line = 0;
  };

  void add_numbers(std::string_view rest, std::vector<double>& to) {
    for (int i = 0; i < 3; ++i) {
      const std::string_view word = read::take_word(rest);
      const auto value = read::coordinate(word);
      if (!value) source_.lines.fail("expected three numbers, found " + read::quoted(word));
      to.push_back(*value);
    }
  }

  /// From 0; a negative number counts back from the last one read so far.
  int index_of(std::string_view word, std::size_t read_so_far) {
    const auto value = parse_double(word);
    constexpr double kMost = 2147483647.0;
    if (!value || *value == 0.0 || !(std::abs(*value) <= kMost) ||
        *value != static_cast<double>(static_cast<long long>(*value))) {
      source_.lines.fail("expected the number of a vertex, from 1 on, found " + read::quoted(word));
    }
    const auto number = static_cast<long long>(*value);
    const long long index = number > 0 ? number - 1 : number + static_cast<long long>(read_so_far);
    if (index < 0) source_.lines.fail("expected a vertex read so far, found " + read::quoted(word));
    return static_cast<int>(index);
  }

  /// "v", "v/t", "v//n" or "v/t/n".
  Corner parse_corner(std::string_view word) {
    Corner corner;
    const std::size_t slash = word.find('/');
    corner.vertex = index_of(word.substr(0, slash), points_.size() / 3);
    if (corner.vertex > highest_.number) highest_ = {corner.vertex, source_.lines.number()};
    if (slash == word.npos) return corner;
    const std::size_t second = word.find('/', slash + 1);
    if (second != word.npos && second + 1 < word.size()) {
      corner.normal = index_of(word.substr(second + 1), normals_.size() / 3);
    }
    return corner;
  }

  void add_face(std::string_view rest) {
    corners_.clear();
    for (std::string_view word = read::take_word(rest); !word.empty();
         word = read::take_word(rest)) {
      const Corner corner = parse_corner(word);
      corners_.push_back(corner.vertex);
      remember_normal(corner);
    }
    faces_.add(corners_);
  }

  void remember_normal(const Corner& corner) {
    const auto vertex = static_cast<std::size_t>(corner.vertex);
    if (corner.normal < 0) return;
    if (vertex >= points_.size() / 3) return;  // an error or a vertex still to come: no normal
    normal_of_.resize(points_.size() / 3, -1);
    if (normal_of_[vertex] >= 0 && !same_normal(normal_of_[vertex], corner.normal)) {
      one_normal_a_vertex_ = false;
    }
    normal_of_[vertex] = corner.normal;
  }

  [[nodiscard]] bool same_normal(int a, int b) const {
    const std::size_t i = 3 * static_cast<std::size_t>(a), j = 3 * static_cast<std::size_t>(b);
    if (a == b) return true;
    if (std::max(i, j) + 2 >= normals_.size()) return false;
    return normals_[i] == normals_[j] && normals_[i + 1] == normals_[j + 1] &&
           normals_[i + 2] == normals_[j + 2];
  }

  void store_normals(bool has_faces, RawGeometry& geometry) {
    if (normals_.empty()) return;
    const std::size_t count = points_.size() / 3;
    if (!has_faces && normals_.size() == points_.size()) {
      geometry.normals = read::columns_of(normals_);  // a point cloud: one after the other
      return;
    }
    normal_of_.resize(count, -1);
    bool complete = one_normal_a_vertex_;
    for (const int normal : normal_of_)
      complete = complete && normal >= 0 && static_cast<std::size_t>(normal) < normals_.size() / 3;
    if (!complete) {
      geometry.notes.emplace_back("normals were ignored: they are not one a vertex");
      return;
    }
    const Eigen::Matrix3Xd stored = read::columns_of(normals_);
    geometry.normals.resize(3, static_cast<Eigen::Index>(count));
    for (std::size_t v = 0; v < count; ++v)
      geometry.normals.col(static_cast<Eigen::Index>(v)) = stored.col(normal_of_[v]);
  }

  ObjLines source_;
  std::vector<double> points_, normals_;
  std::vector<int> corners_, normal_of_;
  read::FaceList faces_;
  Highest highest_;
  bool one_normal_a_vertex_ = true;
};

}  // namespace

RawGeometry parse_obj(std::string_view bytes, const std::string& name) {
  return ObjParser(bytes, name).parse();
}

}  // namespace trammel
