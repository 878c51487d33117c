#include <cstdint>
#include <cstring>
#include <vector>

#include "text_source.hpp"
#include "trammel/base/large_pages.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/read/raw_geometry.hpp"

namespace trammel {
namespace {

// The layout that every writer keeps: 80 bytes of anything, a count of 4 bytes,
// then 50 bytes a triangle (normal, three corners, attribute), little-endian.
constexpr std::size_t kHeaderBytes = 84;
constexpr std::size_t kTriangleBytes = 50;
constexpr std::size_t kNormalBytes = 12;

std::uint32_t little_endian_32(const char* bytes) {
  std::uint32_t value = 0;
  for (int i = 3; i >= 0; --i)
    value = value << 8U | static_cast<unsigned char>(bytes[i]);
  return value;
}

float little_endian_float(const char* bytes) {
  const std::uint32_t bits = little_endian_32(bytes);
  float value = 0.0F;
  std::memcpy(&value, &bits, sizeof value);
  return value;
}

std::size_t stated_triangles(std::string_view bytes) {
  return little_endian_32(bytes.data() + 80);
}

/// The bytes that the count asks for are there, with less than one more triangle's behind them.
bool size_fits(std::string_view bytes) {
  if (bytes.size() < kHeaderBytes) return false;
  const std::size_t body = bytes.size() - kHeaderBytes;
  return body / kTriangleBytes == stated_triangles(bytes);
}

void number_corners(RawGeometry& geometry) {
  geometry.triangles.resize(3, geometry.points.cols() / 3);
  for (Eigen::Index i = 0; i < geometry.triangles.size(); ++i)
    geometry.triangles.data()[i] = static_cast<int>(i);
}

RawGeometry parse_binary(std::string_view bytes, const std::string& name) {
  if (!size_fits(bytes)) {
    const std::string found = std::to_string(bytes.size()) + " bytes";
    if (bytes.size() < kHeaderBytes) {
      read::fail_at_byte(name, bytes.size(), "expected 84 bytes of header, found " + found);
    }
    const std::size_t count = stated_triangles(bytes);
    read::fail_at_byte(name, bytes.size(),
                       "expected " + std::to_string(kHeaderBytes + kTriangleBytes * count) +
                           " bytes for the " + std::to_string(count) +
                           " triangles that the header states, found " + found,
                       "The file is cut off or damaged; save it again");
  }
  const std::size_t count = stated_triangles(bytes);
  RawGeometry geometry;
  geometry.format = "STL, binary";
  geometry.points = large_columns(static_cast<Eigen::Index>(3 * count));
  for_each_index(count, [&](std::size_t t) {
    const char* corner = bytes.data() + kHeaderBytes + kTriangleBytes * t + kNormalBytes;
    double* out = geometry.points.data() + 9 * t;
    for (int i = 0; i < 9; ++i, corner += 4)
      out[i] = static_cast<double>(little_endian_float(corner));
  });
  number_corners(geometry);
  const std::size_t extra = bytes.size() - kHeaderBytes - kTriangleBytes * count;
  if (extra > 0) {
    geometry.notes.push_back(std::to_string(extra) + " bytes after the last triangle were ignored");
  }
  return geometry;
}

void expect(read::TextWords& words, std::string_view keyword) {
  const std::string_view found = words.next();
  if (!read::equals_ignoring_case(found, keyword)) {
    words.fail("expected '" + std::string(keyword) + "', found " +
               (found.empty() ? "the end of the file" : read::quoted(found)));
  }
}

/// From behind "facet" to "endfacet".
void parse_facet(read::TextWords& words, std::vector<double>& coordinates) {
  expect(words, "normal");
  for (int i = 0; i < 3; ++i)
    (void)words.next();  // the corners' order tells the normal; writers get the stored one wrong
  expect(words, "outer");
  expect(words, "loop");
  for (int corner = 0; corner < 3; ++corner) {
    expect(words, "vertex");
    for (int i = 0; i < 3; ++i)
      coordinates.push_back(words.number());
  }
  expect(words, "endloop");
  expect(words, "endfacet");
}

RawGeometry parse_ascii(std::string_view text, const std::string& name) {
  read::check_is_text(text, name);
  read::TextWords words(text, name);
  std::vector<double> coordinates;
  std::size_t solids = 0;
  for (std::string_view word = words.next(); !word.empty(); word = words.next()) {
    if (!read::equals_ignoring_case(word, "solid")) {
      words.fail("expected 'solid', found " + read::quoted(word));
    }
    words.skip_line();  // the solid's name
    ++solids;
    for (word = words.next(); !read::equals_ignoring_case(word, "endsolid"); word = words.next()) {
      if (!read::equals_ignoring_case(word, "facet")) {
        words.fail("expected 'facet' or 'endsolid', found " +
                   (word.empty() ? "the end of the file" : read::quoted(word)));
      }
      parse_facet(words, coordinates);
    }
    words.skip_line();
  }
  RawGeometry geometry;
  geometry.format = "STL, ASCII";
  geometry.points = Eigen::Map<const Eigen::Matrix3Xd>(
      coordinates.data(), 3, static_cast<Eigen::Index>(coordinates.size() / 3));
  number_corners(geometry);
  if (solids > 1) geometry.notes.push_back(std::to_string(solids) + " solids were taken as one");
  return geometry;
}

}  // namespace

RawGeometry parse_stl(std::string_view bytes, const std::string& name) {
  // Size decides: many binary files begin with the word "solid" as well.
  if (size_fits(bytes)) return parse_binary(bytes, name);
  const std::string_view text = read::text_of(bytes, name);
  std::string_view rest = text.substr(0, 1000);
  const bool holds_zeros = rest.find('\0') != rest.npos;
  while (!rest.empty() && (read::is_blank(rest.front()) || rest.front() == '\n'))
    rest.remove_prefix(1);
  if (!holds_zeros && read::equals_ignoring_case(rest.substr(0, 5), "solid")) {
    return parse_ascii(text, name);
  }
  return parse_binary(bytes, name);
}

}  // namespace trammel
