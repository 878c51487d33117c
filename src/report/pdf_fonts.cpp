#include "pdf_fonts.hpp"

#include <hpdf_doc.h>
#include <hpdf_font.h>
#include <hpdf_fontdef.h>
#include <hpdf_objects.h>
#include <hpdf_streams.h>

#include "pdf_glyph_parts.hpp"
#include "pdf_text_map.hpp"
#include "trammel/base/error.hpp"
#include "trammel/base/text.hpp"
#include "trammel/report/utf8.hpp"
#include "trammel/report/visual_order.hpp"

namespace trammel {
namespace {

/// A font's file and the package that brings it.
struct FontFile {
  const char *path, *package;
};

constexpr FontFile kRegular{TRAMMEL_FONT_REGULAR, "fonts-dejavu-core"};
constexpr FontFile kBold{TRAMMEL_FONT_BOLD, "fonts-dejavu-core"};
constexpr std::array<FontFile, 2> kOthers{
    {{TRAMMEL_FONT_SCRIPTS, "fonts-freefont-ttf"}, {TRAMMEL_FONT_CJK, "fonts-wqy-microhei"}}};
constexpr FontFile kSymbols{TRAMMEL_FONT_SYMBOLS, "fonts-symbola"};

/// libharu's own map from codes to Unicode breaks the rules of PDF: readers that look complain of
/// it.
void mend_text_map(HPDF_Font font, const std::string& mended) {
  if (font == nullptr) return;
  auto* map = static_cast<HPDF_Dict>(HPDF_Dict_GetItem(font, "ToUnicode", HPDF_OCLASS_DICT));
  if (map == nullptr || map->stream == nullptr) return;
  HPDF_MemStream_FreeData(map->stream);
  HPDF_Stream_WriteStr(map->stream, mended.c_str());
  map->filter = HPDF_STREAM_FILTER_FLATE_DECODE;
}

/// @param high_codes  what the font is to be used for alone, or null
HPDF_Font load_font(HPDF_Doc doc, const FontFile& file, const HighCodes* high_codes = nullptr) {
  const char* name = ends_with(file.path, ".ttc")
                         ? HPDF_LoadTTFontFromFile2(doc, file.path, 0, HPDF_TRUE)
                         : HPDF_LoadTTFontFromFile(doc, file.path, HPDF_TRUE);
  if (name == nullptr) {
    throw Error(ErrorKind::Output, file.path,
                "expected a font of the sheet, found no readable file",
                std::string("Install the package ") + file.package);
  }
  if (high_codes != nullptr) high_codes->put_into(HPDF_GetFontDef(doc, name));
  const HPDF_Font font = HPDF_GetFont(doc, name, "UTF-8");
  mend_text_map(font, high_codes != nullptr ? high_codes->text_map() : text_map());
  return font;
}

/// @param code  of the basic plane
bool has_glyph(HPDF_Font font, char32_t code) {
  const auto* attributes = static_cast<HPDF_FontAttr>(font->attr);
  return HPDF_TTFontDef_GetGlyphid(attributes->fontdef, static_cast<HPDF_UINT16>(code)) != 0;
}

}  // namespace

PdfFonts::PdfFonts(HPDF_Doc doc)
    : doc_(doc), regular_(load_font(doc, kRegular)), bold_(load_font(doc, kBold)) {}

PdfFonts::Letter PdfFonts::symbol(char32_t code) {
  if (!high_codes_) high_codes_.emplace(kSymbols.path);
  const auto private_code = high_codes_->private_code(code);
  if (!private_code) return {};
  if (symbols_ == nullptr) symbols_ = load_font(doc_, kSymbols, &*high_codes_);
  return {symbols_, *private_code};
}

PdfFonts::Letter PdfFonts::first_that_has(char32_t code, bool bold) {
  if (code > 0xFFFF) return symbol(code);
  if (has_glyph(own(bold), code)) return {own(bold), code};
  for (std::size_t i = 0; i < others_.size(); ++i) {
    if (others_[i] == nullptr) others_[i] = load_font(doc_, kOthers[i]);
    if (has_glyph(others_[i], code)) return {others_[i], code};
  }
  return {};
}

PdfFonts::Letter PdfFonts::letter_of(char32_t code, bool bold) {
  const auto [known, is_new] = known_[bold ? 1 : 0].try_emplace(code);
  Letter& letter = known->second;
  if (is_new) letter = first_that_has(code, bold);
  if (is_new && letter.font != nullptr) use_parts_of(letter.font, letter.code);
  return letter;
}

std::vector<PdfRun> PdfFonts::runs(const std::string& words, bool bold) {
  std::vector<PdfRun> runs;
  std::u32string codes;  // of the last run
  for (const char32_t code : in_visual_order(codes_of(words))) {
    Letter letter = letter_of(code, bold);
    if (letter.font == nullptr) letter = letter_of(U'\uFFFD', bold);
    if (runs.empty() || runs.back().font != letter.font) {
      if (!runs.empty()) runs.back().words = utf8_of(codes);
      runs.push_back({letter.font, ""});
      codes.clear();
    }
    codes += letter.code;
  }
  if (!runs.empty()) runs.back().words = utf8_of(codes);
  return runs;
}

}  // namespace trammel
