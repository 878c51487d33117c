#include "trammel/base/plain_signs.hpp"

#include <algorithm>
#include <array>
#include <utility>

namespace trammel {
namespace {

constexpr std::array<std::pair<std::string_view, std::string_view>, 18> kSigns{
    {{"\u2212", "-"},
     {"\u00b1", "+/-"},
     {"\u00d7", "x"},
     {"\u00b0", " deg"},
     {"\u00b2", "2"},
     {"\u00b3", "3"},
     {"\u00b7", "-"},
     {"\u2013", "-"},
     {"\u2014", "-"},
     {"\u2026", "..."},
     {"\u03c3", "sigma"},
     {"\u2192", "->"},
     {"\u2264", "<="},
     {"\u2265", ">="},
     {"\u2260", "!="},
     {"\u2248", "about "},
     {"\u00bd", "1/2"},
     {"\uFFFD", "?"}}};

}  // namespace

std::string plain_signs(std::string_view utf8) {
  std::string plain;
  plain.reserve(utf8.size());
  for (std::size_t at = 0; at < utf8.size();) {
    const auto found = std::find_if(kSigns.begin(), kSigns.end(), [&](const auto& sign) {
      return utf8.substr(at, sign.first.size()) == sign.first;
    });
    if (found == kSigns.end()) {
      plain += utf8[at++];
      continue;
    }
    plain += found->second;
    at += found->first.size();
  }
  return plain;
}

bool says_utf8(const char* lc_all, const char* lc_ctype, const char* lang) {
  for (const char* locale : {lc_all, lc_ctype, lang}) {
    if (locale == nullptr || *locale == '\0') continue;
    std::string letters;
    for (const char letter : std::string_view(locale)) {
      if (letter >= 'a' && letter <= 'z')
        letters += static_cast<char>(letter - 'a' + 'A');
      else if (letter != '-')
        letters += letter;
    }
    return letters.find("UTF8") != std::string::npos;
  }
  return false;
}

}  // namespace trammel
