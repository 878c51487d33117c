#pragma once

/// Text and bytes made safe to stand in a page of HTML.

#include <string>
#include <string_view>
#include <vector>

#include "trammel/report/colours.hpp"

namespace trammel {

/// Made printable first; then & < > " ' become entities, so that it may stand between tags and in
/// quoted attributes alike.
[[nodiscard]] std::string html_escaped(std::string_view text);

/// JSON that may stand inside a script element: every < is written as an escape.
[[nodiscard]] std::string json_for_html(std::string json);

/// Base64 with padding (RFC 4648, section 4).
[[nodiscard]] std::string base64(std::string_view bytes);

/// "#9b1c31".
[[nodiscard]] std::string css_colour(Rgb colour);

/// The class that colours a verdict: "fail" for its red, and so on; empty for other inks. Colours
/// follow the reader's light or dark page, so they are named there.
[[nodiscard]] std::string tone_of(Rgb colour);

/// Numbers as they lie in memory, least significant byte first (all our machines; checked).
template <typename T>
[[nodiscard]] std::string_view bytes_of(const std::vector<T>& numbers) {
  return {reinterpret_cast<const char*>(numbers.data()), numbers.size() * sizeof(T)};
}

}  // namespace trammel
