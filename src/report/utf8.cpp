#include "trammel/report/utf8.hpp"

#include "trammel/base/text.hpp"

namespace trammel {
namespace {

/// Bytes that follow a lead byte of well-formed UTF-8 (RFC 3629).
int followers(unsigned char lead) {
  return lead < 0x80 ? 0 : lead < 0xE0 ? 1 : lead < 0xF0 ? 2 : 3;
}

char follower(char32_t code, int shift) {
  return static_cast<char>(0x80U | ((code >> shift) & 0x3FU));
}

}  // namespace

std::u32string codes_of(std::string_view utf8) {
  const std::string sound = printable(utf8);
  std::u32string codes;
  for (std::size_t i = 0; i < sound.size();) {
    const auto lead = static_cast<unsigned char>(sound[i++]);
    const int more = followers(lead);
    char32_t code = more == 0 ? lead : lead & (0x3FU >> more);
    for (int k = 0; k < more; ++k)
      code = (code << 6) | (static_cast<unsigned char>(sound[i++]) & 0x3FU);
    codes += code;
  }
  return codes;
}

std::string utf8_of(const std::u32string& codes) {
  std::string text;
  for (const char32_t code : codes) {
    if (code < 0x80) {
      text += static_cast<char>(code);
    } else if (code < 0x800) {
      text += {static_cast<char>(0xC0U | (code >> 6)), follower(code, 0)};
    } else if (code < 0x10000) {
      text += {static_cast<char>(0xE0U | (code >> 12)), follower(code, 6), follower(code, 0)};
    } else {
      text += {static_cast<char>(0xF0U | (code >> 18)), follower(code, 12), follower(code, 6),
               follower(code, 0)};
    }
  }
  return text;
}

std::string utf16_bytes(const std::u32string& codes) {
  std::string bytes;
  const auto put = [&](char32_t unit) {
    bytes += {static_cast<char>(unit >> 8), static_cast<char>(unit & 0xFFU)};
  };
  for (const char32_t code : codes) {
    if (code < 0x10000) {
      put(code);
    } else {
      put(0xD800U + ((code - 0x10000U) >> 10));
      put(0xDC00U + ((code - 0x10000U) & 0x3FFU));
    }
  }
  return bytes;
}

}  // namespace trammel
