#include "report/pdf_fonts.hpp"

#include <gtest/gtest.h>

#include "trammel/report/utf8.hpp"

namespace trammel {
namespace {

struct Fonts : ::testing::Test {
  Fonts() : doc(HPDF_New(nullptr, nullptr)) {
    HPDF_UseUTFEncodings(doc);
    HPDF_SetCurrentEncoder(doc, "UTF-8");
  }
  ~Fonts() override { HPDF_Free(doc); }
  Fonts(const Fonts&) = delete;
  Fonts& operator=(const Fonts&) = delete;
  HPDF_Doc doc;
};

std::string all_of(const std::vector<PdfRun>& runs) {
  std::string words;
  for (const PdfRun& run : runs)
    words += run.words;
  return words;
}

TEST_F(Fonts, WriteLatinGreekAndCyrillicInTheSheetsOwn) {
  PdfFonts fonts(doc);
  const std::string words = "Halter 7, \u00d8 8.4 \u0394 \u0448\u0430\u0439\u0431\u0430";
  for (const bool bold : {false, true}) {
    const auto runs = fonts.runs(words, bold);
    ASSERT_EQ(runs.size(), 1U);
    EXPECT_EQ(runs[0].font, fonts.own(bold));
    EXPECT_EQ(runs[0].words, words);
  }
  EXPECT_TRUE(fonts.runs("", false).empty());
}

TEST_F(Fonts, StandInForLettersThatTheSheetsOwnLacks) {
  PdfFonts fonts(doc);
  for (const char* word : {"\u652f\u67b6", "\ud55c\uad6d\uc5b4", "\u304b\u306a",
                           "\u0e44\u0e17\u0e22", "\u0939\u093f\u0928", "\u0ba4\u0bae"}) {
    const auto runs = fonts.runs(std::string("left ") + word + " 7", false);
    EXPECT_EQ(all_of(runs), std::string("left ") + word + " 7");
    EXPECT_GE(runs.size(), 3U) << word;
  }
}

TEST_F(Fonts, WriteAReplacementForWhatNoneHas) {
  PdfFonts fonts(doc);
  EXPECT_EQ(all_of(fonts.runs("a\U00020000b", false)), "a\ufffdb");
}

TEST_F(Fonts, WriteEmojiByPrivateCodesOfTheFontOfSymbols) {
  PdfFonts fonts(doc);
  const auto runs = fonts.runs("a\U0001F527\U0001F697", true);
  ASSERT_EQ(runs.size(), 2U);
  EXPECT_NE(runs[1].font, fonts.own(true));
  const std::u32string written = codes_of(runs[1].words);
  ASSERT_EQ(written.size(), 2U);
  EXPECT_NE(written[0], written[1]);
  for (const char32_t code : written)
    EXPECT_TRUE(code >= 0xE000 && code <= 0xF8FF) << static_cast<unsigned>(code);
}

TEST_F(Fonts, WriteHebrewAsItStandsOnPaper) {
  PdfFonts fonts(doc);
  EXPECT_EQ(all_of(fonts.runs("\u05d0\u05d1\u05d2", true)), "\u05d2\u05d1\u05d0");
}

}  // namespace
}  // namespace trammel
