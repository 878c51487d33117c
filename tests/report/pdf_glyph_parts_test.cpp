#include "report/pdf_glyph_parts.hpp"

#include <gtest/gtest.h>
#include <hpdf_font.h>
#include <hpdf_fontdef.h>

#include <algorithm>

#include "report/pdf_fonts.hpp"

namespace trammel {
namespace {

/// How many letters and parts of letters of the sheet's own font a word has embedded.
long embedded_for(const char* word) {
  const HPDF_Doc doc = HPDF_New(nullptr, nullptr);
  HPDF_UseUTFEncodings(doc);
  PdfFonts fonts(doc);
  const auto used = [&] {
    const auto* attributes = static_cast<HPDF_FontAttr>(fonts.own(false)->attr);
    const auto* font = static_cast<HPDF_TTFontDefAttr>(attributes->fontdef->attr);
    return std::count(font->glyph_tbl.flgs, font->glyph_tbl.flgs + font->num_glyphs, 1);
  };
  const long before = used();
  const auto runs = fonts.runs(word, false);
  const long more = used() - before;
  HPDF_Free(doc);
  return more;
}

TEST(UsePartsOf, EmbedsTheLettersThatALetterIsMadeOf) {
  EXPECT_EQ(embedded_for("\u0451"), 3);  // io: itself, ie, and two dots
  // a with circumflex and tilde: itself, a or a with circumflex, and what is above it.
  EXPECT_GE(embedded_for("\u1eab"), 3);
  EXPECT_EQ(embedded_for("\u0451\u0435"), 3);  // ie is there already
}

}  // namespace
}  // namespace trammel
