#include "pdf_glyph_parts.hpp"

#include <hpdf_font.h>
#include <hpdf_fontdef.h>
#include <hpdf_streams.h>

#include <array>
#include <cstdint>
#include <vector>

namespace trammel {
namespace {

/// Of OpenType's table glyf: a letter of parts counts −1 contours; each part has flags, a glyph,
/// two numbers for where it goes, and up to four for how it is stretched.
constexpr int kDeepest = 8;
constexpr std::size_t kHeadBytes = 10;
constexpr unsigned kWordsForPlace = 0x0001, kOneScale = 0x0008, kMoreParts = 0x0020,
                   kTwoScales = 0x0040, kFourScales = 0x0080;

/// Big-endian numbers of a font's file.
class FontReader {
 public:
  explicit FontReader(HPDF_TTFontDefAttr font) : font_(font) {}

  /// At the letter's outline; false where it has none.
  bool go_to(unsigned glyph) {
    if (glyph + 1U > font_->num_glyphs) return false;
    const HPDF_UINT32* at = font_->glyph_tbl.offsets;
    if (at[glyph] == at[glyph + 1]) return false;
    const HPDF_UINT32 step = font_->header.index_to_loc_format == 0 ? 2 : 1;
    return HPDF_Stream_Seek(font_->stream,
                            static_cast<HPDF_INT>(font_->glyph_tbl.base_offset + at[glyph] * step),
                            HPDF_SEEK_SET) == HPDF_OK;
  }
  /// 0 where the file ends.
  unsigned word() {
    std::array<HPDF_BYTE, 2> bytes{};
    HPDF_UINT size = 2;
    HPDF_Stream_Read(font_->stream, bytes.data(), &size);
    return size == 2 ? bytes[0] * 256U + bytes[1] : 0U;
  }
  void skip(std::size_t bytes) {
    HPDF_Stream_Seek(font_->stream, static_cast<HPDF_INT>(bytes), HPDF_SEEK_CUR);
  }

 private:
  HPDF_TTFontDefAttr font_;
};

std::vector<unsigned> parts_of(HPDF_TTFontDefAttr font, unsigned glyph) {
  constexpr std::size_t kMostParts = 64;
  std::vector<unsigned> parts;
  FontReader reader(font);
  if (!reader.go_to(glyph)) return parts;
  if (static_cast<std::int16_t>(reader.word()) >= 0) return parts;
  reader.skip(kHeadBytes - 2);
  for (unsigned flags = kMoreParts; (flags & kMoreParts) != 0 && parts.size() < kMostParts;) {
    flags = reader.word();
    parts.push_back(reader.word());
    reader.skip((flags & kWordsForPlace) != 0 ? 4 : 2);
    reader.skip((flags & kOneScale) != 0     ? 2
                : (flags & kTwoScales) != 0  ? 4
                : (flags & kFourScales) != 0 ? 8
                                             : 0);
  }
  return parts;
}

/// @param deeper  how many more times parts may have parts: a damaged font could go on for ever
void use_parts(HPDF_TTFontDefAttr font, unsigned glyph, int deeper) {
  if (deeper == 0) return;
  for (const unsigned part : parts_of(font, glyph)) {
    if (part >= font->num_glyphs) continue;
    font->glyph_tbl.flgs[part] = 1;
    use_parts(font, part, deeper - 1);
  }
}

}  // namespace

void use_parts_of(HPDF_Font font, char32_t code) {
  const auto* attributes = static_cast<HPDF_FontAttr>(font->attr);
  const unsigned glyph =
      HPDF_TTFontDef_GetGlyphid(attributes->fontdef, static_cast<HPDF_UINT16>(code));
  if (glyph == 0) return;
  use_parts(static_cast<HPDF_TTFontDefAttr>(attributes->fontdef->attr), glyph, kDeepest);
}

}  // namespace trammel
