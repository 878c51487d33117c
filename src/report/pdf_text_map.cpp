#include "pdf_text_map.hpp"

#include <algorithm>
#include <vector>

namespace trammel {
namespace {

constexpr unsigned kFirstSurrogate = 0xD8, kLastSurrogate = 0xDF;
constexpr std::size_t kMostInBlock = 100;

/// "<2000> <20FF> <2000>".
std::string range_of(unsigned high_byte) {
  constexpr const char* kDigits = "0123456789ABCDEF";
  const std::string high = {kDigits[high_byte >> 4U], kDigits[high_byte & 15U]};
  return "<" + high + "00> <" + high + "FF> <" + high + "00>\n";
}

}  // namespace

std::string text_map() {
  std::vector<std::string> ranges;
  for (unsigned high_byte = 0; high_byte < 256; ++high_byte) {
    if (high_byte < kFirstSurrogate || high_byte > kLastSurrogate)
      ranges.push_back(range_of(high_byte));
  }
  std::string map =
      "/CIDInit /ProcSet findresource begin\n12 dict begin\nbegincmap\n"
      "/CIDSystemInfo << /Registry (Adobe) /Ordering (UCS) /Supplement 0 >> def\n"
      "/CMapName /Adobe-Identity-UCS def\n/CMapType 2 def\n"
      "1 begincodespacerange\n<0000> <FFFF>\nendcodespacerange\n";
  for (std::size_t from = 0; from < ranges.size(); from += kMostInBlock) {
    const std::size_t to = std::min(from + kMostInBlock, ranges.size());
    map += std::to_string(to - from) + " beginbfrange\n";
    for (std::size_t i = from; i < to; ++i)
      map += ranges[i];
    map += "endbfrange\n";
  }
  return map + "endcmap\nCMapName currentdict /CMap defineresource pop\nend\nend\n";
}

}  // namespace trammel
