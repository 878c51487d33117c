#pragma once

/// UTF-8 to code points and back, and to UTF-16.

#include <string>
#include <string_view>

namespace trammel {

/// Made printable first: bytes that are not UTF-8 and control characters become U+FFFD.
[[nodiscard]] std::u32string codes_of(std::string_view utf8);
[[nodiscard]] std::string utf8_of(const std::u32string& codes);

/// UTF-16, most significant byte first, without a mark of its order.
[[nodiscard]] std::string utf16_bytes(const std::u32string& codes);

}  // namespace trammel
