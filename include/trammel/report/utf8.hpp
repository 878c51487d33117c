#pragma once

/// UTF-8 to code points and back.

#include <string>
#include <string_view>

namespace trammel {

/// Made printable first: bytes that are not UTF-8 and control characters become U+FFFD.
[[nodiscard]] std::u32string codes_of(std::string_view utf8);
[[nodiscard]] std::string utf8_of(const std::u32string& codes);

/// The same text with everything above U+FFFF replaced by U+FFFD: what libharu can write.
[[nodiscard]] std::string basic_plane(std::string_view utf8);

}  // namespace trammel
