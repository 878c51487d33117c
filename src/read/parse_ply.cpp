#include <algorithm>
#include <array>
#include <cmath>
#include <string>
#include <vector>

#include "face_list.hpp"
#include "ply_header.hpp"
#include "ply_rows.hpp"
#include "trammel/base/large_pages.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/read/raw_geometry.hpp"

namespace trammel {
namespace {

using read::BinaryValues;
using read::PlyElement;
using read::PlyEncoding;
using read::PlyHeader;
using read::PlyProperty;
using read::PlyType;
using read::TextValues;

constexpr double kMostIndices = 2147483647.0;

/// Places of the six properties that are read: x y z nx ny nz; −1 where absent.
using Places = std::array<int, 6>;

bool has_normals(const Places& places) {
  return places[3] >= 0 && places[4] >= 0 && places[5] >= 0;
}

/// Where value `role` of vertex `row` is stored; null for a role that is not wanted.
double* slot_of(RawGeometry& geometry, const Places& places, std::size_t role, std::size_t row) {
  if (places[role] < 0 || (role >= 3 && !has_normals(places))) return nullptr;
  Eigen::Matrix3Xd& to = role < 3 ? geometry.points : geometry.normals;
  return to.data() + 3 * row + role % 3;
}

template <typename T, bool Swap>
void copy_column(const char* from, std::size_t row_bytes, std::size_t rows, double* to) {
  for (std::size_t i = 0; i < rows; ++i, from += row_bytes, to += 3)
    *to = static_cast<double>(read::load<T, Swap>(from));
}

template <typename Values>
class PlyParser {
 public:
  PlyParser(const PlyHeader& header, Values values) : header_(header), values_(std::move(values)) {}

  RawGeometry parse() {
    bool seen_vertices = false;
    for (const PlyElement& element : header_.elements) {
      if (!values_.rows_fit(element.count, element)) {
        values_.fail("expected " + std::to_string(element.count) + " rows of '" +
                     printable(element.name) + "' as the header states, found only " +
                     std::to_string(values_.bytes_left()) + " bytes");
      }
      if (element.name == "vertex") {
        if (seen_vertices) values_.fail("expected one element 'vertex', found two");
        seen_vertices = true;
        parse_vertices(element);
      } else if (element.name == "face") {
        parse_faces(element);
      } else {
        skip_rows(element);
      }
    }
    check_end();
    check_corners();
    corners_ = {};
    faces_.store_in(geometry_);
    return std::move(geometry_);
  }

 private:
  void parse_vertices(const PlyElement& element) {
    const Places places = {element.find("x"),  element.find("y"),  element.find("z"),
                           element.find("nx"), element.find("ny"), element.find("nz")};
    for (std::size_t axis = 0; axis < 3; ++axis) {
      const int place = places[axis];
      if (place < 0 || element.properties[static_cast<std::size_t>(place)].list_size) {
        values_.fail("expected the properties x, y and z of 'vertex', found no such " +
                     std::string(1, "xyz"[axis]));
      }
    }
    if (static_cast<double>(element.count) > kMostIndices) {
      values_.fail("expected at most 2,147,483,647 vertices, found " +
                   std::to_string(element.count));
    }
    geometry_.points = large_columns(static_cast<Eigen::Index>(element.count));
    if (has_normals(places))
      geometry_.normals = large_columns(static_cast<Eigen::Index>(element.count));
    if constexpr (!std::is_same_v<Values, TextValues>) {
      if (!element.has_lists()) {
        copy_columns(element, places);
        return;
      }
    }
    for (std::size_t row = 0; row < element.count; ++row) {
      values_.begin_row();
      parse_vertex(element, places, row);
      values_.end_row();
    }
  }

  void parse_vertex(const PlyElement& element, const Places& places, std::size_t row) {
    for (std::size_t p = 0; p < element.properties.size(); ++p) {
      const PlyProperty& property = element.properties[p];
      if (property.list_size) {
        skip_list(property);
        continue;
      }
      const double value = values_.next(property.type);
      for (std::size_t role = 0; role < places.size(); ++role) {
        if (places[role] != static_cast<int>(p)) continue;
        double* const slot = slot_of(geometry_, places, role, row);
        if (slot != nullptr) *slot = value;
      }
    }
  }

  /// Rows of one length: column by column in parallel chunks small enough for the cache.
  void copy_columns(const PlyElement& element, const Places& places) {
    const std::size_t row_bytes = element.least_row_bytes();
    const char* const first = values_.here();
    constexpr std::size_t kRowsAtOnce = 4096;
    for_each_chunk(element.count, kRowsAtOnce, [&](std::size_t begin, std::size_t end) {
      std::size_t offset = 0;
      for (std::size_t p = 0; p < element.properties.size(); ++p) {
        const PlyType type = element.properties[p].type;
        for (std::size_t role = 0; role < places.size(); ++role) {
          if (places[role] != static_cast<int>(p)) continue;
          double* const slot = slot_of(geometry_, places, role, begin);
          if (slot == nullptr) continue;
          read::with_type(type, [&](auto zero) {
            copy_column<decltype(zero), Values::kSwap>(first + begin * row_bytes + offset,
                                                       row_bytes, end - begin, slot);
          });
        }
        offset += read::byte_size(type);
      }
    });
    values_.skip(element.count * row_bytes);
  }

  /// A length or an index: a whole number from 0.
  int whole_number(PlyType type, const std::string& what) {
    const double value = values_.next(type);
    if (!(value >= 0.0) || value >= kMostIndices || value != std::floor(value)) {
      values_.fail("expected " + what + " from 0 on, found " + shortest(value));
    }
    return static_cast<int>(value);
  }

  void skip_list(const PlyProperty& property) {
    const int length = whole_number(*property.list_size, "the length of a list");
    for (int i = 0; i < length; ++i)
      (void)values_.next(property.type);
  }

  void parse_faces(const PlyElement& element) {
    int corners_at = element.find("vertex_indices");
    const int other_name = element.find("vertex_index");
    if (corners_at >= 0 && other_name >= 0)
      values_.fail("expected one list of corners, found 'vertex_indices' and 'vertex_index'");
    if (corners_at < 0) corners_at = other_name;
    if (element.count > 0 &&
        (corners_at < 0 || !element.properties[static_cast<std::size_t>(corners_at)].list_size)) {
      values_.fail("expected the list 'vertex_indices' of 'face', found none");
    }
    for (std::size_t row = 0; row < element.count; ++row) {
      values_.begin_row();
      parse_face(element, static_cast<std::size_t>(corners_at));
      values_.end_row();
    }
  }

  void parse_face(const PlyElement& element, std::size_t corners_at) {
    for (std::size_t p = 0; p < element.properties.size(); ++p) {
      const PlyProperty& property = element.properties[p];
      if (p != corners_at) {
        skip_value(property);
        continue;
      }
      const int length = whole_number(*property.list_size, "the number of corners of a face");
      if (static_cast<std::size_t>(length) > values_.bytes_left()) {
        values_.fail("expected a face of " + std::to_string(length) +
                     " corners, found the end of the file " + "after " +
                     std::to_string(values_.bytes_left()) + " bytes");
      }
      corners_.clear();
      corners_.reserve(static_cast<std::size_t>(length));
      for (int i = 0; i < length; ++i)
        corners_.push_back(whole_number(property.type, "the number of a vertex"));
      for (const int corner : corners_)
        highest_corner_ = std::max(highest_corner_, corner);
      faces_.add(corners_);
    }
  }

  void skip_value(const PlyProperty& property) {
    if (property.list_size) {
      skip_list(property);
    } else {
      (void)values_.next(property.type);
    }
  }

  void skip_rows(const PlyElement& element) {
    // Rows of nothing take no byte, and many elements could state many of them.
    const std::size_t rows = element.properties.empty() ? 0 : element.count;
    for (std::size_t row = 0; row < rows; ++row) {
      values_.begin_row();
      for (const PlyProperty& property : element.properties)
        skip_value(property);
      values_.end_row();
    }
    if (element.count > 0) {
      geometry_.notes.push_back(std::to_string(element.count) + " rows of '" +
                                printable(element.name) + "' were not used");
    }
  }

  /// More than the header states means that it states too little: the rest must not go unread.
  void check_end() {
    if constexpr (std::is_same_v<Values, TextValues>) {
      const std::string_view word = values_.words().next();
      if (!word.empty()) {
        values_.fail("expected the end of the file after the last row, found " +
                     read::quoted(word));
      }
    } else if (values_.bytes_left() > 2) {  // some writers end the file with a line end
      values_.fail("expected the end of the file after the last row, found " +
                   std::to_string(values_.bytes_left()) + " bytes more");
    }
  }

  void check_corners() {
    if (highest_corner_ < geometry_.points.cols()) return;
    values_.fail("expected faces of the " + std::to_string(geometry_.points.cols()) +
                 " vertices, numbered from 0, found vertex " + std::to_string(highest_corner_));
  }

  const PlyHeader& header_;
  Values values_;
  RawGeometry geometry_;
  read::FaceList faces_;
  std::vector<int> corners_;  ///< of the face being read
  int highest_corner_ = -1;
};

bool machine_is_little_endian() {
  const std::uint16_t one = 1;
  char first = 0;
  std::memcpy(&first, &one, 1);
  return first == 1;
}

}  // namespace

RawGeometry parse_ply(std::string_view bytes, const std::string& name) {
  const PlyHeader header = read::parse_ply_header(bytes, name);
  const auto parsed = [&]() {
    if (header.encoding == PlyEncoding::Ascii) {
      read::check_is_text(bytes.substr(header.bytes), name, header.lines + 1);
      read::TextWords words(bytes.substr(header.bytes), name, header.lines + 1);
      return PlyParser<TextValues>(header, TextValues(std::move(words))).parse();
    }
    const bool swap = (header.encoding == PlyEncoding::LittleEndian) != machine_is_little_endian();
    if (swap) return PlyParser(header, BinaryValues<true>(bytes, header.bytes, name)).parse();
    return PlyParser(header, BinaryValues<false>(bytes, header.bytes, name)).parse();
  };
  RawGeometry geometry = parsed();
  geometry.format = header.encoding == PlyEncoding::Ascii          ? "PLY, ASCII"
                    : header.encoding == PlyEncoding::LittleEndian ? "PLY, binary little-endian"
                                                                   : "PLY, binary big-endian";
  return geometry;
}

}  // namespace trammel
