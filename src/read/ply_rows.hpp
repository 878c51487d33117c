#pragma once

/// The values of PLY rows, one after the other, from text or bytes.

#include <cstdint>
#include <cstring>
#include <string>
#include <string_view>
#include <type_traits>

#include "ply_header.hpp"
#include "text_source.hpp"

namespace trammel::read {

/// A number stored in either byte order. `Swap` when that order is not the machine's.
template <typename T, bool Swap>
T load(const char* bytes) {
  char ordered[sizeof(T)];
  for (std::size_t i = 0; i < sizeof(T); ++i)
    ordered[i] = bytes[Swap ? sizeof(T) - 1 - i : i];
  T value;
  std::memcpy(&value, ordered, sizeof value);
  return value;
}

/// Calls body(zero of the C++ type that stores `type`).
template <typename Body>
auto with_type(PlyType type, const Body& body) {
  switch (type) {
    case PlyType::Int8: return body(std::int8_t{});
    case PlyType::UInt8: return body(std::uint8_t{});
    case PlyType::Int16: return body(std::int16_t{});
    case PlyType::UInt16: return body(std::uint16_t{});
    case PlyType::Int32: return body(std::int32_t{});
    case PlyType::UInt32: return body(std::uint32_t{});
    case PlyType::Float32: return body(float{});
    case PlyType::Float64: break;
  }
  return body(double{});
}

/// Values of a binary body in order; every step is checked against the bytes that are left.
template <bool Swap>
class BinaryValues {
 public:
  static constexpr bool kSwap = Swap;

  BinaryValues(std::string_view bytes, std::size_t begin, std::string name)
      : bytes_(bytes), at_(begin), name_(std::move(name)) {}

  double next(PlyType type) {
    const std::size_t size = byte_size(type);
    if (bytes_left() < size) fail("expected more values, found the end of the file");
    const char* const from = bytes_.data() + at_;
    at_ += size;
    return with_type(
        type, [&](auto zero) { return static_cast<double>(load<decltype(zero), Swap>(from)); });
  }

  void begin_row() {}
  void end_row() {}
  void skip(std::size_t bytes) { at_ += bytes; }
  [[nodiscard]] const char* here() const { return bytes_.data() + at_; }
  [[nodiscard]] std::size_t bytes_left() const { return bytes_.size() - at_; }
  /// Whether so many rows of the element can be in the bytes that are left.
  [[nodiscard]] bool rows_fit(std::size_t rows, const PlyElement& element) const {
    const std::size_t least = element.least_row_bytes();
    return least == 0 || rows <= bytes_left() / least;
  }
  [[noreturn]] void fail(const std::string& problem) const { fail_at_byte(name_, at_, problem); }

 private:
  std::string_view bytes_;
  std::size_t at_;
  std::string name_;
};

/// The same from text, where each value is a word.
class TextValues {
 public:
  explicit TextValues(TextWords words) : words_(std::move(words)) {}

  double next(PlyType) {
    const double value = words_.number();
    if (row_line_ == 0) row_line_ = words_.line();
    if (words_.line() != row_line_)
      words_.fail("expected a row on one line, found that it goes on here");
    return value;
  }
  /// Each row is a line: were one value missing in one of them, all after it would be shifted.
  void begin_row() { row_line_ = 0; }
  void end_row() {
    if (!words_.at_line_end())
      words_.fail("expected the end of the row, found " + quoted(words_.next()));
  }
  [[nodiscard]] std::size_t bytes_left() const { return words_.bytes_left(); }
  /// Each value takes a digit and a blank, the last one perhaps a digit alone.
  [[nodiscard]] bool rows_fit(std::size_t rows, const PlyElement& element) const {
    const std::size_t values = element.properties.size();
    return values == 0 || rows <= (bytes_left() + 1) / (2 * values);
  }
  [[noreturn]] void fail(const std::string& problem) const { words_.fail(problem); }
  TextWords& words() { return words_; }

 private:
  TextWords words_;
  std::size_t row_line_ = 0;  ///< of the row being read; 0 before its first value
};

}  // namespace trammel::read
