#pragma once

/// The header of a PLY file: which elements follow, in which order and type.

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

namespace trammel::read {

enum class PlyType { Int8, UInt8, Int16, UInt16, Int32, UInt32, Float32, Float64 };
[[nodiscard]] std::size_t byte_size(PlyType type);

struct PlyProperty {
  std::string name;
  PlyType type = PlyType::Float32;
  std::optional<PlyType> list_size;  ///< type of the length; only lists have one
};

struct PlyElement {
  std::string name;
  std::size_t count = 0;
  std::vector<PlyProperty> properties;

  [[nodiscard]] bool has_lists() const;
  /// Fewest bytes of one row in a binary file; exact without lists.
  [[nodiscard]] std::size_t least_row_bytes() const;
  /// Place of the property of that name, or −1.
  [[nodiscard]] int find(std::string_view property) const;
};

enum class PlyEncoding { Ascii, LittleEndian, BigEndian };

struct PlyHeader {
  PlyEncoding encoding = PlyEncoding::Ascii;
  std::vector<PlyElement> elements;
  std::size_t bytes = 0;  ///< length of the header: the first row begins here
  std::size_t lines = 0;
};

/// @throws Error Input with "name:line"
[[nodiscard]] PlyHeader parse_ply_header(std::string_view bytes, const std::string& name);

}  // namespace trammel::read
