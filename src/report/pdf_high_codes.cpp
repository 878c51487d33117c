#include "pdf_high_codes.hpp"

#include <ft2build.h>
#include FT_FREETYPE_H
#include <hpdf_fontdef.h>
#include <hpdf_mmgr.h>

#include <algorithm>
#include <memory>

#include "pdf_text_map.hpp"
#include "trammel/base/error.hpp"

namespace trammel {
namespace {

constexpr char32_t kFirstPrivate = 0xE000, kLastPrivate = 0xF8FF, kLastBasic = 0xFFFF;
constexpr std::size_t kMostGlyphs = kLastPrivate - kFirstPrivate + 1;

struct CloseLibrary {
  void operator()(FT_Library library) const { FT_Done_FreeType(library); }
};
struct CloseFace {
  void operator()(FT_Face face) const { FT_Done_Face(face); }
};

std::vector<HighGlyph> high_glyphs_of(FT_Face face) {
  std::vector<HighGlyph> glyphs;
  FT_UInt glyph = 0;
  for (FT_ULong code = FT_Get_Next_Char(face, kLastBasic, &glyph);
       glyph != 0 && glyphs.size() < kMostGlyphs; code = FT_Get_Next_Char(face, code, &glyph)) {
    glyphs.push_back({static_cast<char32_t>(code), static_cast<std::uint16_t>(glyph)});
  }
  return glyphs;
}

/// In memory of libharu's, which frees it with the font.
template <class Number>
Number* kept_by(HPDF_MMgr memory, Number* before, const std::vector<Number>& numbers) {
  HPDF_FreeMem(memory, before);
  auto* copy = static_cast<Number*>(
      HPDF_GetMem(memory, static_cast<HPDF_UINT>(numbers.size() * sizeof(Number))));
  TRAMMEL_CHECK(copy != nullptr, "libharu must find memory for a font's map");
  std::copy(numbers.begin(), numbers.end(), copy);
  return copy;
}

}  // namespace

HighCodes::HighCodes(const std::string& font_path) {
  FT_Library library_made = nullptr;
  if (FT_Init_FreeType(&library_made) != 0) return;
  const std::unique_ptr<FT_LibraryRec_, CloseLibrary> library(library_made);
  FT_Face face_made = nullptr;
  if (FT_New_Face(library.get(), font_path.c_str(), 0, &face_made) != 0) return;
  const std::unique_ptr<FT_FaceRec_, CloseFace> face(face_made);
  if (FT_Select_Charmap(face.get(), FT_ENCODING_UNICODE) == 0) glyphs_ = high_glyphs_of(face.get());
}

std::optional<char32_t> HighCodes::private_code(char32_t code) const {
  const auto at =
      std::lower_bound(glyphs_.begin(), glyphs_.end(), code,
                       [](const HighGlyph& glyph, char32_t wanted) { return glyph.code < wanted; });
  if (at == glyphs_.end() || at->code != code) return std::nullopt;
  return kFirstPrivate + static_cast<char32_t>(at - glyphs_.begin());
}

void HighCodes::put_into(HPDF_FontDef font) const {
  // OpenType, cmap format 4: two segments, the private codes and the one of U+FFFF that ends every
  // map. An offset counts in bytes from its own place among the offsets: 4 skips both of them.
  HPDF_TTF_CmapRange& map = static_cast<HPDF_TTFontDefAttr>(font->attr)->cmap;
  std::vector<HPDF_UINT16> glyphs;
  for (const HighGlyph& glyph : glyphs_)
    glyphs.push_back(glyph.glyph);
  glyphs.push_back(0);  // so that there is memory to ask for where there are no glyphs
  const auto last = static_cast<HPDF_UINT16>(kFirstPrivate + glyphs_.size());
  HPDF_MMgr memory = font->mmgr;
  map.seg_count_x2 = 4;
  map.end_count = kept_by<HPDF_UINT16>(memory, map.end_count, {last, kLastBasic});
  map.start_count = kept_by<HPDF_UINT16>(memory, map.start_count, {kFirstPrivate, kLastBasic});
  map.id_delta = kept_by<HPDF_INT16>(memory, map.id_delta, {0, 1});
  map.id_range_offset = kept_by<HPDF_UINT16>(memory, map.id_range_offset, {4, 0});
  map.glyph_id_array = kept_by(memory, map.glyph_id_array, glyphs);
  map.glyph_id_array_count = static_cast<HPDF_UINT>(glyphs.size());
}

std::string HighCodes::text_map() const {
  std::vector<std::string> entries;
  for (const HighGlyph& glyph : glyphs_)
    entries.push_back(
        text_map_entry(kFirstPrivate + static_cast<char32_t>(entries.size()), glyph.code));
  return text_map_of("bfchar", entries);
}

}  // namespace trammel
