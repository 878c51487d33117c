#include "trammel/base/text.hpp"

#include <algorithm>
#include <numeric>
#include <utility>

namespace trammel {
namespace {

constexpr const char* kReplacement = "\uFFFD";

/// Length of the well-formed UTF-8 sequence at the start of `text`, or 0 (RFC 3629).
std::size_t sequence_length(std::string_view text) {
  const auto byte = [&](std::size_t i) { return static_cast<unsigned char>(text[i]); };
  const unsigned lead = byte(0);
  const std::size_t length = lead < 0x80   ? 1
                             : lead < 0xC2 ? 0
                             : lead < 0xE0 ? 2
                             : lead < 0xF0 ? 3
                             : lead < 0xF5 ? 4
                                           : 0;
  if (length == 0 || length > text.size()) return 0;
  for (std::size_t i = 1; i < length; ++i) {
    if ((byte(i) & 0xC0U) != 0x80U) return 0;
  }
  const bool overlong_or_surrogate =
      (lead == 0xE0 && byte(1) < 0xA0) || (lead == 0xED && byte(1) > 0x9F) ||
      (lead == 0xF0 && byte(1) < 0x90) || (lead == 0xF4 && byte(1) > 0x8F);
  return overlong_or_surrogate ? 0 : length;
}

bool is_control(std::string_view sequence) {
  const auto lead = static_cast<unsigned char>(sequence[0]);
  if (sequence.size() == 1) return lead < 0x20 || lead == 0x7F;
  return sequence.size() == 2 && lead == 0xC2 && static_cast<unsigned char>(sequence[1]) < 0xA0;
}

/// Ends a line, or turns the order of the letters after it: U+2028 to U+202E, U+2066 to U+2069. A
/// name with one reads as another [Boucher & Anderson 2021, "Trojan Source"].
bool reorders(std::string_view sequence) {
  return (sequence >= "\u2028" && sequence <= "\u202E") ||
         (sequence >= "\u2066" && sequence <= "\u2069");
}

/// Whatever the locale is.
char capital_of(char c) {
  return c >= 'a' && c <= 'z' ? static_cast<char>(c - 'a' + 'A') : c;
}

}  // namespace

std::size_t edit_distance(std::string_view a, std::string_view b) {
  // Rows of the table for the last two letters of a and the present one.
  std::vector<std::size_t> before(b.size() + 1), above(b.size() + 1), row(b.size() + 1);
  std::iota(row.begin(), row.end(), std::size_t{0});
  for (std::size_t i = 1; i <= a.size(); ++i) {
    std::swap(before, above);
    std::swap(above, row);
    row[0] = i;
    for (std::size_t j = 1; j <= b.size(); ++j) {
      const std::size_t replaced = above[j - 1] + (a[i - 1] == b[j - 1] ? 0 : 1);
      row[j] = std::min({replaced, above[j] + 1, row[j - 1] + 1});
      const bool swapped = i > 1 && j > 1 && a[i - 1] == b[j - 2] && a[i - 2] == b[j - 1];
      if (swapped) row[j] = std::min(row[j], before[j - 2] + 1);
    }
  }
  return row.back();
}

std::string did_you_mean(std::string_view word, const std::vector<std::string>& known) {
  const std::string* best = nullptr;
  std::size_t least = std::max<std::size_t>(1, word.size() / 3) + 1;
  for (const std::string& candidate : known) {
    const std::size_t distance = edit_distance(word, candidate);
    if (distance < least) {
      least = distance;
      best = &candidate;
    }
  }
  return best == nullptr ? std::string{} : ", did you mean '" + *best + "'?";
}

std::string printable(std::string_view text) {
  std::string out;
  while (!text.empty()) {
    const std::size_t length = sequence_length(text);
    const std::string_view sequence = text.substr(0, std::max<std::size_t>(1, length));
    if (length == 0 || is_control(sequence) || reorders(sequence)) {
      out += kReplacement;
    } else {
      out += sequence;
    }
    text.remove_prefix(sequence.size());
  }
  return out;
}

std::string capitalised(std::string text) {
  if (!text.empty()) text[0] = capital_of(text[0]);
  return text;
}

std::string uncapitalised(std::string text) {
  if (!text.empty() && text[0] >= 'A' && text[0] <= 'Z') text[0] = static_cast<char>(text[0] + 32);
  return text;
}

std::string in_capitals(std::string text) {
  std::transform(text.begin(), text.end(), text.begin(), capital_of);
  return text;
}

std::string named(const std::string& word, const std::string& name) {
  const bool says_it = in_capitals(name.substr(0, word.size() + 1)) == in_capitals(word + " ");
  return says_it ? name : word + " " + name;
}

bool ends_with(std::string_view text, std::string_view ending) {
  return text.size() >= ending.size() && text.substr(text.size() - ending.size()) == ending;
}

}  // namespace trammel
