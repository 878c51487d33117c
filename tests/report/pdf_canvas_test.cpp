#include "trammel/report/pdf_canvas.hpp"

#include <gtest/gtest.h>

#include "report/pdf_tools.hpp"

namespace trammel {
namespace {

TEST(PdfCanvas, WordsOfManyScriptsComeOutAndMissingGlyphsDoNoHarm) {
  PdfCanvas canvas("Title", "2026-11-25");
  canvas.add_page();
  canvas.text(50, 100, "Größe ±0.50 mm \u2212 Деталь \u4e2d\U0001F600\xff end");
  const auto text = test::print_of("pdftotext", "", canvas.bytes());
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_NE(text->find("Größe ±0.50 mm − Деталь"), std::string::npos) << *text;
  EXPECT_NE(text->find("\U0001F600"), std::string::npos) << *text;
  EXPECT_NE(text->find("end"), std::string::npos);
}

TEST(PdfCanvas, AMissingGlyphIsAsWideAsTheReplacementCharacter) {
  const PdfCanvas canvas("t", "");
  const TextStyle style;
  EXPECT_DOUBLE_EQ(canvas.text_width("\U00020000", style), canvas.text_width("\uFFFD", style));
}

TEST(PdfCanvas, CarriesItsTitleAndItsDateAndNoOther) {
  PdfCanvas canvas("Träger \u4e2d\U0001F527", "2026-11-25");
  canvas.add_page();
  const auto info = test::print_of("pdfinfo", "-isodates", canvas.bytes());
  if (!info) GTEST_SKIP() << "pdfinfo is not installed";
  EXPECT_NE(info->find("Träger \u4e2d\U0001F527"), std::string::npos) << *info;
  EXPECT_NE(info->find("2026-11-25T00:00:00"), std::string::npos) << *info;
  EXPECT_EQ(info->find("ModDate"), std::string::npos);
}

TEST(PdfCanvas, OddDatesAreLeftOut) {
  for (const char* date : {"", "soon", "2026-02-30", "2026-13-01", "0000-00-00"}) {
    PdfCanvas canvas("t", date);
    canvas.add_page();
    EXPECT_EQ(canvas.bytes().find("CreationDate"), std::string::npos) << date;
  }
}

TEST(PdfCanvas, PagesCanBeReturnedTo) {
  PdfCanvas canvas("t", "");
  canvas.add_page();
  canvas.add_page();
  canvas.select_page(0);
  canvas.text(50, 50, "on the first");
  const auto text = test::print_of("pdftotext", "-l 1", canvas.bytes());
  if (!text) GTEST_SKIP() << "pdftotext is not installed";
  EXPECT_NE(text->find("on the first"), std::string::npos);
}

}  // namespace
}  // namespace trammel
