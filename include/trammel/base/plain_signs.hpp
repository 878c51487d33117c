#pragma once

/// The program's words for a terminal that shows ASCII alone.

#include <string>
#include <string_view>

namespace trammel {

/// Every sign that the program itself writes (− ± × ° ² · – … σ and the like) in ASCII: "25 mm2",
/// "+/-0.50 mm", "1.5 deg". Letters of names stay the bytes that they are.
[[nodiscard]] std::string plain_signs(std::string_view utf8);

/// Whether a locale shows UTF-8: the first of the three that is set and not empty decides, as POSIX
/// has it (XBD 8.2), and none is the locale "C".
/// @param lc_all, lc_ctype, lang  the variables LC_ALL, LC_CTYPE and LANG; null where not set
[[nodiscard]] bool says_utf8(const char* lc_all, const char* lc_ctype, const char* lang);

}  // namespace trammel
