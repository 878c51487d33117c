#pragma once

/// Lines and words of a text file that stay in its bytes: nothing is copied, no locale is asked.

#include <algorithm>
#include <cstddef>
#include <cstring>
#include <limits>
#include <optional>
#include <string>
#include <string_view>

#include "trammel/base/error.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/base/text.hpp"

namespace trammel::read {

constexpr const char* kSaveAgain = "Save the file again, or convert it to binary STL or PLY";

inline bool is_blank(char c) {
  return c == ' ' || c == '\t' || c == '\r' || c == '\v' || c == '\f';
}

/// A word for a message: quoted, printable, cut where it is long; "nothing" for an empty one.
inline std::string quoted(std::string_view word) {
  if (word.empty()) return "nothing";
  return "'" + printable(word.substr(0, 40)) + (word.size() > 40 ? "…'" : "'");
}

[[noreturn]] inline void fail_at_line(const std::string& name, std::size_t line,
                                      const std::string& problem,
                                      const std::string& next = kSaveAgain) {
  throw Error(ErrorKind::Input, name + ":" + std::to_string(line), problem, next);
}

[[noreturn]] inline void fail_at_byte(const std::string& name, std::size_t byte,
                                      const std::string& problem,
                                      const std::string& next = kSaveAgain) {
  throw Error(ErrorKind::Input, name + ", byte " + std::to_string(byte), problem, next);
}

/// Takes the next word off the front of `rest`; empty at its end.
inline std::string_view take_word(std::string_view& rest) {
  std::size_t begin = 0;
  while (begin < rest.size() && is_blank(rest[begin]))
    ++begin;
  std::size_t end = begin;
  while (end < rest.size() && !is_blank(rest[end]))
    ++end;
  const std::string_view word = rest.substr(begin, end - begin);
  rest.remove_prefix(end);
  return word;
}

inline std::string_view trimmed(std::string_view text) {
  while (!text.empty() && is_blank(text.front()))
    text.remove_prefix(1);
  while (!text.empty() && is_blank(text.back()))
    text.remove_suffix(1);
  return text;
}

/// Letters A to Z compare as a to z; `lower` is in lower case.
inline bool equals_ignoring_case(std::string_view text, std::string_view lower) {
  if (text.size() != lower.size()) return false;
  for (std::size_t i = 0; i < text.size(); ++i) {
    const char c = text[i] >= 'A' && text[i] <= 'Z' ? static_cast<char>(text[i] + 32) : text[i];
    if (c != lower[i]) return false;
  }
  return true;
}

/// A coordinate. Also what one run-time library prints for not-a-number and infinity ("-1.#IND"),
/// as NaN: such points are counted by tidying.
inline std::optional<double> coordinate(std::string_view word) {
  const std::optional<double> value = parse_double(word);
  if (!value && word.find("#IN") != word.npos) return std::numeric_limits<double>::quiet_NaN();
  if (!value && word.find("#QNAN") != word.npos) return std::numeric_limits<double>::quiet_NaN();
  return value;
}

/// @throws Error Input for UTF-16, which no format allows
inline void check_not_utf16(std::string_view bytes, const std::string& name) {
  if (bytes.substr(0, 2) != "\xFE\xFF" && bytes.substr(0, 2) != "\xFF\xFE") return;
  fail_at_line(name, 1, "expected text in ASCII or UTF-8, found UTF-16",
               "Save the file again as UTF-8");
}

/// The bytes without a UTF-8 byte order mark. @throws Error Input for UTF-16
inline std::string_view text_of(std::string_view bytes, const std::string& name) {
  constexpr std::string_view kUtf8Mark = "\xEF\xBB\xBF";
  if (bytes.substr(0, 3) == kUtf8Mark) return bytes.substr(3);
  check_not_utf16(bytes, name);
  return bytes;
}

/// A download that was cut leaves a hole of zeros, and what no reader looks at (the rest of a line,
/// a line of no use) would swallow it with all that it holds.
/// @param first_line  number of the line that `bytes` begins on
/// @throws Error Input where a byte is zero
inline void check_is_text(std::string_view bytes, const std::string& name,
                          std::size_t first_line = 1) {
  const std::size_t zero = bytes.find('\0');
  if (zero == bytes.npos) return;
  const auto lines_before =
      std::count(bytes.begin(), bytes.begin() + static_cast<std::ptrdiff_t>(zero), '\n');
  fail_at_line(name, first_line + static_cast<std::size_t>(lines_before),
               "expected text in ASCII or UTF-8, found bytes of zero",
               "The file is damaged, or of another format than its name says");
}

/// Walks over the lines of a text; they end in LF, CR LF or CR, and in one file in several of them.
class TextLines {
 public:
  TextLines(std::string_view bytes, std::string name)
      : name_(std::move(name)), rest_(text_of(bytes, name_)) {
    check_is_text(rest_, name_);
  }

  /// Goes to the next line; false at the end of the text.
  bool next() {
    if (rest_.empty()) return false;
    ++number_;
    // Where no LF is left it must not be looked for again at each CR.
    const std::size_t feed = has_feeds_ ? rest_.find('\n') : rest_.npos;
    has_feeds_ = feed != rest_.npos;
    line_ = rest_.substr(0, feed);
    const std::size_t carriage = line_.find('\r');
    if (carriage == line_.npos) {
      rest_.remove_prefix(feed == rest_.npos ? rest_.size() : feed + 1);
      return true;
    }
    line_ = line_.substr(0, carriage);
    rest_.remove_prefix(carriage + (carriage + 1 == feed ? 2 : 1));
    return true;
  }

  [[nodiscard]] std::string_view line() const { return line_; }
  [[nodiscard]] std::size_t number() const { return number_; }
  [[nodiscard]] std::size_t bytes_left() const { return rest_.size(); }
  [[nodiscard]] const std::string& name() const { return name_; }
  [[noreturn]] void fail(const std::string& problem, const std::string& next = kSaveAgain) const {
    fail_at_line(name_, number_, problem, next);
  }

 private:
  std::string name_;
  std::string_view rest_, line_;
  std::size_t number_ = 0;
  bool has_feeds_ = true;
};

/// Walks over the words of a text, whichever lines they stand on.
class TextWords {
 public:
  /// @param first_line  number of the line that `text` begins on
  TextWords(std::string_view text, std::string name, std::size_t first_line = 1)
      : name_(std::move(name)),
        at_(text.data()),
        end_(text.data() + text.size()),
        line_(first_line) {}

  /// The next word; empty at the end of the text.
  std::string_view next() {
    for (; at_ != end_ && (is_blank(*at_) || *at_ == '\n'); ++at_)
      line_ += ends_line() ? 1U : 0U;
    const char* const begin = at_;
    while (at_ != end_ && !is_blank(*at_) && *at_ != '\n')
      ++at_;
    return {begin, static_cast<std::size_t>(at_ - begin)};
  }

  /// Whether nothing but blanks is left of the line.
  [[nodiscard]] bool at_line_end() {
    while (at_ != end_ && is_blank(*at_) && *at_ != '\r')
      ++at_;
    return at_ == end_ || *at_ == '\n' || *at_ == '\r';
  }

  void skip_line() {
    while (at_ != end_ && *at_ != '\n' && *at_ != '\r')
      ++at_;
  }

  double number() {
    const std::string_view word = next();
    const std::optional<double> value = coordinate(word);
    if (!value) fail("expected a number, found " + quoted(word));
    return *value;
  }

  [[nodiscard]] std::size_t bytes_left() const { return static_cast<std::size_t>(end_ - at_); }
  /// Number of the line that the last word stands on.
  [[nodiscard]] std::size_t line() const { return line_; }
  [[noreturn]] void fail(const std::string& problem) const { fail_at_line(name_, line_, problem); }

 private:
  /// LF, or a CR that no LF follows.
  [[nodiscard]] bool ends_line() const {
    return *at_ == '\n' || (*at_ == '\r' && at_ + 1 != end_ && at_[1] != '\n');
  }

  std::string name_;
  const char* at_;
  const char* end_;
  std::size_t line_;
};

}  // namespace trammel::read
