#include "pdf_text_map.hpp"

#include <algorithm>

#include "trammel/report/utf8.hpp"

namespace trammel {
namespace {

constexpr char32_t kFirstSurrogate = 0xD8, kLastSurrogate = 0xDF;
constexpr std::size_t kMostInBlock = 100;

/// "<D83DDE00>": UTF-16, most significant byte first.
std::string hex_of(char32_t code) {
  constexpr const char* kDigits = "0123456789ABCDEF";
  std::string hex = "<";
  for (const char byte : utf16_bytes({code})) {
    const auto value = static_cast<unsigned char>(byte);
    hex += {kDigits[value >> 4U], kDigits[value & 15U]};
  }
  return hex + ">";
}

}  // namespace

std::string text_map_entry(char32_t code, char32_t stands_for) {
  return hex_of(code) + " " + hex_of(stands_for);
}

std::string text_map_of(const std::string& kind, const std::vector<std::string>& entries) {
  std::string map =
      "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
      "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n"
      "/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n"
      "1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n";
  for (std::size_t from = 0; from < entries.size(); from += kMostInBlock) {
    const std::size_t to = std::min(from + kMostInBlock, entries.size());
    map += std::to_string(to - from) + " begin" + kind + "\n";
    for (std::size_t i = from; i < to; ++i)
      map += entries[i] + "\n";
    map += "end" + kind + "\n";
  }
  return map + "endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n";
}

std::string text_map() {
  std::vector<std::string> ranges;
  for (char32_t high = 0; high < 256; ++high) {
    if (high >= kFirstSurrogate && high <= kLastSurrogate) continue;
    const char32_t first = high << 8U;
    ranges.push_back(hex_of(first) + " " + hex_of(first + 0xFF) + " " + hex_of(first));
  }
  return text_map_of("bfrange", ranges);
}

}  // namespace trammel
