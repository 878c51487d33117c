#include "trammel/report/html_text.hpp"

#include <algorithm>

#include "trammel/base/parallel.hpp"
#include "trammel/base/text.hpp"

namespace trammel {
namespace {

constexpr std::string_view kBase64 =
    "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789+/";

std::string_view entity_of(char c) {
  switch (c) {
    case '&': return "&amp;";
    case '<': return "&lt;";
    case '>': return "&gt;";
    case '"': return "&quot;";
    case '\'': return "&#39;";
    default: return {};
  }
}

}  // namespace

std::string html_escaped(std::string_view text) {
  std::string out;
  for (const char c : printable(text)) {
    const std::string_view entity = entity_of(c);
    if (entity.empty()) {
      out += c;
    } else {
      out += entity;
    }
  }
  return out;
}

std::string json_for_html(std::string json) {
  for (std::size_t at = json.find('<'); at != json.npos; at = json.find('<', at))
    json.replace(at, 1, "\\u003c");
  return json;
}

std::string base64(std::string_view bytes) {
  std::string out((bytes.size() + 2) / 3 * 4, '=');
  for_each_index(
      out.size() / 4,
      [&](std::size_t index) {
        const std::size_t at = 3 * index, given = std::min<std::size_t>(3, bytes.size() - at);
        unsigned group = 0;
        for (std::size_t k = 0; k < 3; ++k)
          group = group << 8U | (k < given ? static_cast<unsigned char>(bytes[at + k]) : 0U);
        for (std::size_t k = 0; k <= given; ++k)
          out[4 * index + k] = kBase64[group >> (18U - 6U * k) & 63U];
      },
      1U << 15U);
  return out;
}

std::string tone_of(Rgb colour) {
  for (const Outcome outcome : {Outcome::Pass, Outcome::Fail, Outcome::Undecided}) {
    if (colour == verdict_colour(outcome)) return outcome_name(outcome);
  }
  return {};
}

std::string css_colour(Rgb colour) {
  constexpr std::string_view kDigits = "0123456789abcdef";
  std::string out = "#";
  for (const std::uint8_t channel : {colour.red, colour.green, colour.blue}) {
    out += kDigits[channel >> 4U];
    out += kDigits[channel & 15U];
  }
  return out;
}

}  // namespace trammel
