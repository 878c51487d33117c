#pragma once

/// The fonts of a PDF: the sheet's own, and those that stand in for letters it lacks.

#include <hpdf.h>

#include <array>
#include <optional>
#include <string>
#include <unordered_map>
#include <vector>

#include "pdf_high_codes.hpp"

namespace trammel {

/// Words in one font, to be written one after the other.
struct PdfRun {
  HPDF_Font font;
  std::string words;  ///< UTF-8, as they stand on paper; private codes in the font of symbols
};

/// Every font is embedded, with the letters that are used alone. Those that stand in are loaded
/// when a letter first asks for them: they take megabytes to read.
class PdfFonts {
 public:
  /// Throws Error Output when the sheet's own font is missing.
  explicit PdfFonts(HPDF_Doc doc);

  /// A letter is of the first font that has it, in the order: the sheet's own, one of many scripts,
  /// one of Chinese, Japanese and Korean, one of symbols and emoji. What none has becomes U+FFFD.
  /// @param words  UTF-8, in reading order
  [[nodiscard]] std::vector<PdfRun> runs(const std::string& words, bool bold);

  [[nodiscard]] HPDF_Font own(bool bold) const { return bold ? bold_ : regular_; }

 private:
  /// How a letter is written.
  struct Letter {
    HPDF_Font font = nullptr;  ///< null: in none
    char32_t code = 0;
  };
  [[nodiscard]] Letter first_that_has(char32_t code, bool bold);
  [[nodiscard]] Letter symbol(char32_t code);
  /// The same, each letter being looked for once: words are measured far more often than written.
  [[nodiscard]] Letter letter_of(char32_t code, bool bold);

  HPDF_Doc doc_;
  HPDF_Font regular_, bold_;
  std::array<std::unordered_map<char32_t, Letter>, 2> known_;  ///< regular and bold
  std::array<HPDF_Font, 2> others_{};                          ///< null until they are asked for
  HPDF_Font symbols_ = nullptr;
  std::optional<HighCodes> high_codes_;  ///< of the font of symbols
};

}  // namespace trammel
