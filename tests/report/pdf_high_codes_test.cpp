#include "report/pdf_high_codes.hpp"

#include <gtest/gtest.h>
#include <hpdf_doc.h>
#include <hpdf_fontdef.h>

#include <sstream>

namespace trammel {
namespace {

/// The font that the sheet's emoji come from.
std::string symbols() {
  return TRAMMEL_FONT_SYMBOLS;
}

TEST(HighCodes, GiveEachCharacterOfTheFontACodeOfItsOwn) {
  const HighCodes codes(symbols());
  const auto wrench = codes.private_code(U'\U0001F527'), next = codes.private_code(U'\U0001F528');
  ASSERT_TRUE(wrench && next);
  EXPECT_EQ(*next, *wrench + 1);
  EXPECT_FALSE(codes.private_code(U'a'));
  EXPECT_FALSE(codes.private_code(U'\U0010FFFF'));
}

TEST(HighCodes, AreNoneWithoutAFont) {
  const HighCodes codes("no-such-font.ttf");
  EXPECT_FALSE(codes.private_code(U'\U0001F527'));
}

TEST(HighCodes, LetLibharuFindTheGlyphThatIsTheCharactersOwn) {
  const HPDF_Doc doc = HPDF_New(nullptr, nullptr);
  const HPDF_FontDef font =
      HPDF_GetFontDef(doc, HPDF_LoadTTFontFromFile(doc, symbols().c_str(), HPDF_TRUE));
  constexpr HPDF_UINT16 kHammer = 0x2692;  // of the basic plane: the font has it
  ASSERT_NE(HPDF_TTFontDef_GetGlyphid(font, kHammer), 0);
  const HighCodes codes(symbols());
  codes.put_into(font);
  const auto wrench = static_cast<HPDF_UINT16>(*codes.private_code(U'\U0001F527'));
  const auto nut = static_cast<HPDF_UINT16>(*codes.private_code(U'\U0001F529'));
  // In fonts-symbola 2.60, read from its cmap of format 12 by a script of a few lines.
  EXPECT_EQ(HPDF_TTFontDef_GetGlyphid(font, wrench), 8557);
  EXPECT_EQ(HPDF_TTFontDef_GetGlyphid(font, nut), 8559);
  EXPECT_EQ(HPDF_TTFontDef_GetGlyphid(font, kHammer), 0);
  EXPECT_EQ(HPDF_TTFontDef_GetGlyphid(font, 0xFFFF), 0);
  HPDF_Free(doc);
}

TEST(HighCodes, StandForTheirCharacterInTheTextMap) {
  const HighCodes codes(symbols());
  std::ostringstream entry;
  entry << '<' << std::hex << std::uppercase
        << static_cast<unsigned>(*codes.private_code(U'\U0001F527'))
        << "> <D83DDD27>\n";  // UTF-16 of U+1F527
  const std::string map = codes.text_map();
  EXPECT_NE(map.find(entry.str()), std::string::npos);
  EXPECT_NE(map.find("100 beginbfchar\n"), std::string::npos);
}

}  // namespace
}  // namespace trammel
