#include <gtest/gtest.h>

#include "report/sample_inspection.hpp"
#include "trammel/report/html_parts.hpp"
#include "trammel/report/png.hpp"

namespace trammel {
namespace {

std::size_t parts_in(const std::string& text, const std::string& part) {
  std::size_t count = 0;
  for (std::size_t at = text.find(part); at != std::string::npos; at = text.find(part, at + 1))
    ++count;
  return count;
}

std::string blank_png(int width, int height) {
  Picture picture;
  picture.width = width;
  picture.height = height;
  picture.rgb.assign(3 * static_cast<std::size_t>(width) * static_cast<std::size_t>(height), 255);
  return png_of(picture);
}

TEST(StillHtml, HasABalloonForWhatTheViewShows) {
  Inspection inspection = test::failing_inspection(4.0);
  inspection.verdict.holes[1].name = "<b>";
  inspection.plan.holes[1].name = "<b>";
  const SheetContext context(inspection);
  const std::string html = still_html(context, blank_png(400, 300));
  EXPECT_NE(html.find("viewBox=\"0 0 "), std::string::npos);
  EXPECT_NE(html.find(" width=\"600.0\" height=\"450.0\""), std::string::npos) << html;
  EXPECT_GE(parts_in(html, "<text"), 2U) << html;
  EXPECT_EQ(parts_in(html, "<text"), parts_in(html, "<line"));
  EXPECT_EQ(html.find("<b>"), std::string::npos);
}

}  // namespace
}  // namespace trammel
