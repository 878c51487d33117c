#pragma once

/// Characters beyond the basic plane (emoji above all) in a PDF. libharu addresses letters by 16
/// bits, so each such glyph of a font is given a code of the private use area (Unicode 3.13) to be
/// written by; a text map says what that code stands for, so that it is copied and found as itself.

#include <hpdf.h>

#include <cstdint>
#include <optional>
#include <string>
#include <vector>

namespace trammel {

/// The font's own glyph of a character.
struct HighGlyph {
  char32_t code;
  std::uint16_t glyph;
};

class HighCodes {
 public:
  /// Those beyond U+FFFF that a font has, in ascending order, at most as many as there are private
  /// codes. None where the file cannot be read.
  explicit HighCodes(const std::string& font_path);

  /// The private code that a character is written by.
  [[nodiscard]] std::optional<char32_t> private_code(char32_t code) const;

  /// Lets a font find these glyphs by their private codes and nothing else. To be done before
  /// HPDF_GetFont, which takes down what each code shows.
  /// @param font  TrueType, loaded from the same file
  void put_into(HPDF_FontDef font) const;

  /// What the private codes stand for, as a ToUnicode CMap (see pdf_text_map.hpp).
  [[nodiscard]] std::string text_map() const;

 private:
  std::vector<HighGlyph> glyphs_;
};

}  // namespace trammel
