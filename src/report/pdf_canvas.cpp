#include "trammel/report/pdf_canvas.hpp"

#include <hpdf.h>
#include <hpdf_doc.h>
#include <hpdf_objects.h>

#include <algorithm>
#include <cmath>
#include <optional>

#include "pdf_fonts.hpp"
#include "trammel/base/error.hpp"
#include "trammel/base/numbers.hpp"
#include "trammel/report/utf8.hpp"

namespace trammel {

struct PdfCanvas::Document {
  HPDF_Doc doc = nullptr;
  std::optional<PdfFonts> fonts;  ///< after the document they belong to
  std::vector<HPDF_Page> pages;
  HPDF_Page page = nullptr;
  PaperSize size;
  HPDF_STATUS error = HPDF_OK;  ///< the first that the handler was told of
  ~Document() {
    if (doc != nullptr) HPDF_Free(doc);
  }

  /// libharu calls this from C code, where nothing may be thrown: it only takes note.
  static void note_error(HPDF_STATUS error, HPDF_STATUS /*detail*/, void* user) {
    auto* document = static_cast<Document*>(user);
    if (document->error == HPDF_OK) document->error = error;
  }

  /// After every step that can fail.
  void check(const char* doing) const {
    if (error == HPDF_OK) return;
    throw Error(ErrorKind::Internal, "sheet.pdf",
                std::string("expected to be able to ") + doing + ", found libharu error " +
                    std::to_string(error),
                "Report this with the plan and the scan; result.json needs no sheet");
  }

  /// From y downwards to y upwards.
  [[nodiscard]] float flipped(double y) const { return static_cast<float>(size.height - y); }

  void trace(const std::vector<Eigen::Vector2d>& points) const {
    HPDF_Page_MoveTo(page, static_cast<float>(points[0].x()), flipped(points[0].y()));
    for (std::size_t i = 1; i < points.size(); ++i)
      HPDF_Page_LineTo(page, static_cast<float>(points[i].x()), flipped(points[i].y()));
  }
};

namespace {

float real(double value) {
  return static_cast<float>(value);
}

double width_of(const PdfRun& run, double size) {
  const HPDF_TextWidth width =
      HPDF_Font_TextWidth(run.font, reinterpret_cast<const HPDF_BYTE*>(run.words.data()),
                          static_cast<HPDF_UINT>(run.words.size()));
  return width.width * size / 1000.0;
}

double width_of(const std::vector<PdfRun>& runs, double size) {
  double width = 0.0;
  for (const PdfRun& run : runs)
    width += width_of(run, size);
  return width;
}

void set_fill(HPDF_Page page, Rgb colour) {
  HPDF_Page_SetRGBFill(page, real(colour.red / 255.0), real(colour.green / 255.0),
                       real(colour.blue / 255.0));
}

void set_stroke(HPDF_Page page, const Stroke& stroke) {
  HPDF_Page_SetRGBStroke(page, real(stroke.colour.red / 255.0), real(stroke.colour.green / 255.0),
                         real(stroke.colour.blue / 255.0));
  HPDF_Page_SetLineWidth(page, real(stroke.width));
}

/// Puts words into a dictionary as a text string (ISO 32000-1, 7.9.2.2): libharu's own way stops at
/// the basic plane.
void set_title(HPDF_Dict dictionary, const std::string& words) {
  std::string bytes = "\xFE\xFF" + utf16_bytes(codes_of(words));
  HPDF_Dict_Add(dictionary, "Title",
                HPDF_Binary_New(dictionary->mmgr, reinterpret_cast<HPDF_BYTE*>(bytes.data()),
                                static_cast<HPDF_UINT>(bytes.size())));
}

/// As libharu wants it; an odd date is left out of the file, it stands on the page all the same.
bool is_date(const HPDF_Date& date) {
  const bool short_month =
      date.month == 4 || date.month == 6 || date.month == 9 || date.month == 11;
  const int days = date.month == 2 ? 28 : short_month ? 30 : 31;
  return date.year >= 1 && date.month >= 1 && date.month <= 12 && date.day >= 1 && date.day <= days;
}

void set_date(HPDF_Doc doc, const std::string& iso_date) {
  if (iso_date.size() != 10) return;
  const auto year = parse_double(iso_date.substr(0, 4));
  const auto month = parse_double(iso_date.substr(5, 2));
  const auto day = parse_double(iso_date.substr(8, 2));
  if (!year || !month || !day) return;
  const HPDF_Date date{static_cast<int>(*year),
                       static_cast<int>(*month),
                       static_cast<int>(*day),
                       0,
                       0,
                       0,
                       '+',
                       0,
                       0};
  if (is_date(date)) HPDF_SetInfoDateAttr(doc, HPDF_INFO_CREATION_DATE, date);
}

}  // namespace

PdfCanvas::PdfCanvas(const std::string& title, const std::string& iso_date, Paper paper)
    : document_(std::make_unique<Document>()) {
  document_->size = size_of(paper);
  document_->doc = HPDF_New(&Document::note_error, document_.get());
  TRAMMEL_CHECK(document_->doc != nullptr, "libharu must start");
  HPDF_UseUTFEncodings(document_->doc);
  HPDF_SetCurrentEncoder(document_->doc, "UTF-8");
  HPDF_SetCompressionMode(document_->doc, HPDF_COMP_ALL);
  document_->fonts.emplace(document_->doc);
  HPDF_SetInfoAttr(document_->doc, HPDF_INFO_CREATOR, "trammel");
  set_title(document_->doc->info, title);
  set_date(document_->doc, iso_date);
  document_->check("start the document");
}

PdfCanvas::~PdfCanvas() = default;

void PdfCanvas::add_page() {
  document_->page = HPDF_AddPage(document_->doc);
  document_->check("add a page");
  document_->pages.push_back(document_->page);
  HPDF_Page_SetWidth(document_->page, real(document_->size.width));
  HPDF_Page_SetHeight(document_->page, real(document_->size.height));
  HPDF_Page_SetLineJoin(document_->page, HPDF_ROUND_JOIN);
  document_->check("set a page up");
}

PaperSize PdfCanvas::size() const {
  return document_->size;
}

void PdfCanvas::bookmark(const std::string& words, double y) {
  const HPDF_Outline entry = HPDF_CreateOutline(document_->doc, nullptr, "", nullptr);
  const HPDF_Destination place = HPDF_Page_CreateDestination(document_->page);
  document_->check("make a bookmark");
  set_title(entry, words);
  HPDF_Destination_SetFitH(place, document_->flipped(y));
  HPDF_Outline_SetDestination(entry, place);
  document_->check("make a bookmark");
}

std::size_t PdfCanvas::page_count() const {
  return document_->pages.size();
}

void PdfCanvas::select_page(std::size_t index) {
  document_->page = document_->pages.at(index);
}

double PdfCanvas::text_width(const std::string& words, const TextStyle& style) const {
  return width_of(document_->fonts->runs(words, style.bold), style.size);
}

void PdfCanvas::text(double x, double baseline_y, const std::string& words,
                     const TextStyle& style) {
  if (words.empty()) return;
  const std::vector<PdfRun> runs = document_->fonts->runs(words, style.bold);
  const double width = style.anchor == Anchor::Start ? 0.0 : width_of(runs, style.size);
  double start = x - (style.anchor == Anchor::End ? width : 0.5 * width);
  set_fill(document_->page, style.colour);
  HPDF_Page_BeginText(document_->page);
  for (const PdfRun& run : runs) {
    HPDF_Page_SetFontAndSize(document_->page, run.font, real(style.size));
    HPDF_Page_TextOut(document_->page, real(start), document_->flipped(baseline_y),
                      run.words.c_str());
    start += width_of(run, style.size);
  }
  HPDF_Page_EndText(document_->page);
  document_->check("write words");
}

void PdfCanvas::line(double x0, double y0, double x1, double y1, const Stroke& stroke) {
  polyline({{x0, y0}, {x1, y1}}, false, stroke);
}

void PdfCanvas::polyline(const std::vector<Eigen::Vector2d>& points, bool closed,
                         const Stroke& stroke) {
  if (points.size() < 2) return;
  set_stroke(document_->page, stroke);
  document_->trace(points);
  if (closed) {
    HPDF_Page_ClosePathStroke(document_->page);
  } else {
    HPDF_Page_Stroke(document_->page);
  }
  document_->check("draw a line");
}

void PdfCanvas::fill(const std::vector<Eigen::Vector2d>& corners, Rgb colour) {
  if (corners.size() < 3) return;
  set_fill(document_->page, colour);
  document_->trace(corners);
  HPDF_Page_Fill(document_->page);
  document_->check("fill a shape");
}

void PdfCanvas::fill_rectangle(double x, double y, double width, double height, Rgb colour) {
  fill({{x, y}, {x + width, y}, {x + width, y + height}, {x, y + height}}, colour);
}

void PdfCanvas::rectangle(double x, double y, double width, double height, const Stroke& stroke) {
  polyline({{x, y}, {x + width, y}, {x + width, y + height}, {x, y + height}}, true, stroke);
}

void PdfCanvas::fill_circle(double x, double y, double radius, Rgb colour) {
  set_fill(document_->page, colour);
  HPDF_Page_Circle(document_->page, real(x), document_->flipped(y), real(radius));
  HPDF_Page_Fill(document_->page);
  document_->check("fill a circle");
}

void PdfCanvas::circle(double x, double y, double radius, const Stroke& stroke) {
  set_stroke(document_->page, stroke);
  HPDF_Page_Circle(document_->page, real(x), document_->flipped(y), real(radius));
  HPDF_Page_ClosePathStroke(document_->page);
  document_->check("draw a circle");
}

void PdfCanvas::picture(const Picture& picture, double x, double y, double width, double height) {
  const HPDF_Image image = HPDF_LoadRawImageFromMem(
      document_->doc, picture.rgb.data(), static_cast<HPDF_UINT>(picture.width),
      static_cast<HPDF_UINT>(picture.height), HPDF_CS_DEVICE_RGB, 8);
  document_->check("take a picture");
  HPDF_Page_DrawImage(document_->page, image, real(x), document_->flipped(y + height), real(width),
                      real(height));
  document_->check("draw a picture");
}

std::string PdfCanvas::bytes() {
  HPDF_SaveToStream(document_->doc);
  document_->check("finish the document");
  HPDF_ResetStream(document_->doc);
  std::string all(HPDF_GetStreamSize(document_->doc), '\0');
  auto size = static_cast<HPDF_UINT32>(all.size());
  HPDF_ReadFromStream(document_->doc, reinterpret_cast<HPDF_BYTE*>(all.data()), &size);
  TRAMMEL_CHECK(size == all.size(), "libharu must hand over all it wrote");
  return all;
}

}  // namespace trammel
