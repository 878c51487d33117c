#include "ply_header.hpp"

#include <algorithm>
#include <cmath>

#include "text_source.hpp"

namespace trammel::read {
namespace {

std::optional<PlyType> type_named(std::string_view word) {
  if (word == "char" || word == "int8") return PlyType::Int8;
  if (word == "uchar" || word == "uint8") return PlyType::UInt8;
  if (word == "short" || word == "int16") return PlyType::Int16;
  if (word == "ushort" || word == "uint16") return PlyType::UInt16;
  if (word == "int" || word == "int32") return PlyType::Int32;
  if (word == "uint" || word == "uint32") return PlyType::UInt32;
  if (word == "float" || word == "float32") return PlyType::Float32;
  if (word == "double" || word == "float64") return PlyType::Float64;
  return std::nullopt;
}

class HeaderParser {
 public:
  HeaderParser(std::string_view bytes, std::string name) : bytes_(bytes), name_(std::move(name)) {}

  PlyHeader parse() {
    const std::string_view begin = trimmed(bytes_.substr(0, 40));
    if (begin.substr(0, 3) != "ply") {
      number_ = 1;
      fail("expected 'ply', found " + quoted(begin.substr(0, begin.find_first_of("\r\n"))));
    }
    next_line();
    if (trimmed(line_) != "ply") fail("expected 'ply', found " + quoted(line_));
    bool has_format = false;
    for (next_line(); trimmed(line_) != "end_header"; next_line()) {
      std::string_view rest = line_;
      const std::string_view keyword = take_word(rest);
      if (keyword.empty() || keyword == "comment" || keyword == "obj_info") continue;
      if (keyword == "format") {
        if (has_format) fail("expected one 'format' line, found two");
        parse_format(rest);
        has_format = true;
      } else if (keyword == "element") {
        parse_element(rest);
      } else if (keyword == "property") {
        parse_property(rest);
      } else {
        fail("expected 'element', 'property', 'comment' or 'end_header', found " + quoted(keyword));
      }
    }
    if (!has_format) fail("expected a 'format' line in the header, found none");
    header_.bytes = at_;
    header_.lines = number_;
    return std::move(header_);
  }

 private:
  [[noreturn]] void fail(const std::string& problem) const {
    fail_at_line(name_, number_, problem);
  }

  /// Lines end in LF, CR LF or CR. Rows begin right behind the last one, so that a binary row whose
  /// first byte is LF must not be taken for a line end.
  void next_line() {
    if (at_ >= bytes_.size()) fail("expected 'end_header', found the end of the file");
    ++number_;
    const std::size_t end = std::min(bytes_.find_first_of("\r\n", at_), bytes_.size());
    line_ = bytes_.substr(at_, end - at_);
    at_ = end + (bytes_.substr(end, 2) == "\r\n" ? 2 : 1);
    at_ = std::min(at_, bytes_.size());
  }

  void parse_format(std::string_view rest) {
    const std::string_view word = take_word(rest);
    if (word == "ascii") {
      header_.encoding = PlyEncoding::Ascii;
    } else if (word == "binary_little_endian") {
      header_.encoding = PlyEncoding::LittleEndian;
    } else if (word == "binary_big_endian") {
      header_.encoding = PlyEncoding::BigEndian;
    } else {
      fail("expected format 'ascii', 'binary_little_endian' or 'binary_big_endian', found " +
           quoted(word));
    }
    const std::string_view version = take_word(rest);
    if (version != "1.0") fail("expected version 1.0 of the format, found " + quoted(version));
  }

  void parse_element(std::string_view rest) {
    constexpr std::size_t kMostElements = 100;
    if (header_.elements.size() == kMostElements)
      fail("expected at most " + std::to_string(kMostElements) + " elements, found more");
    PlyElement element;
    element.name = take_word(rest);
    const std::string_view word = take_word(rest);
    const auto count = parse_double(word);
    // More rows than bytes cannot be; the exact check follows where the rows' size is known.
    if (!count || *count < 0.0 || *count != std::floor(*count)) {
      fail("expected the number of rows of '" + printable(element.name) + "', found " +
           quoted(word));
    }
    if (*count > static_cast<double>(bytes_.size())) {
      fail("expected a number of rows that fits the file's " + std::to_string(bytes_.size()) +
           " bytes, found " + quoted(word));
    }
    element.count = static_cast<std::size_t>(*count);
    header_.elements.push_back(std::move(element));
  }

  PlyType parse_type(std::string_view& rest) {
    const std::string_view word = take_word(rest);
    const auto type = type_named(word);
    if (!type) {
      fail("expected a type (char uchar short ushort int uint float double), found " +
           quoted(word));
    }
    return *type;
  }

  void parse_property(std::string_view rest) {
    if (header_.elements.empty()) fail("expected 'element' before 'property', found none");
    PlyProperty property;
    std::string_view after = rest;
    if (take_word(after) == "list") {
      rest = after;
      property.list_size = parse_type(rest);
    }
    property.type = parse_type(rest);
    property.name = take_word(rest);
    if (property.name.empty()) fail("expected the property's name, found nothing");
    if (header_.elements.back().find(property.name) >= 0)
      fail("expected each property once, found " + quoted(std::string_view(property.name)) +
           " again");
    header_.elements.back().properties.push_back(std::move(property));
  }

  std::string_view bytes_, line_;
  std::string name_;
  std::size_t at_ = 0, number_ = 0;
  PlyHeader header_;
};

}  // namespace

std::size_t byte_size(PlyType type) {
  switch (type) {
    case PlyType::Int8:
    case PlyType::UInt8: return 1;
    case PlyType::Int16:
    case PlyType::UInt16: return 2;
    case PlyType::Int32:
    case PlyType::UInt32:
    case PlyType::Float32: return 4;
    case PlyType::Float64: return 8;
  }
  return 0;
}

bool PlyElement::has_lists() const {
  return std::any_of(properties.begin(), properties.end(),
                     [](const PlyProperty& p) { return p.list_size.has_value(); });
}

std::size_t PlyElement::least_row_bytes() const {
  std::size_t bytes = 0;
  for (const PlyProperty& property : properties)
    bytes += byte_size(property.list_size.value_or(property.type));
  return bytes;
}

int PlyElement::find(std::string_view property) const {
  for (std::size_t i = 0; i < properties.size(); ++i) {
    if (properties[i].name == property) return static_cast<int>(i);
  }
  return -1;
}

PlyHeader parse_ply_header(std::string_view bytes, const std::string& name) {
  constexpr std::string_view kUtf8Mark = "\xEF\xBB\xBF";
  const std::size_t mark = bytes.substr(0, 3) == kUtf8Mark ? 3 : 0;
  PlyHeader header = HeaderParser(bytes.substr(mark), name).parse();
  header.bytes += mark;
  return header;
}

}  // namespace trammel::read
