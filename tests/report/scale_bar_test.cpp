#include "trammel/report/scale_bar.hpp"

#include <gtest/gtest.h>

#include <cmath>

namespace trammel {
namespace {

TEST(ScaleBar, LengthIsARoundNumberAndAtLeastSoLongOnThePage) {
  for (double scale = 1e-4; scale < 1e4; scale *= 1.37) {
    const double length_mm = bar_length_mm(scale, 30.0);
    EXPECT_GE(scale * length_mm, 30.0 * (1.0 - 1e-12)) << scale;
    EXPECT_LT(scale * length_mm, 75.0 * (1.0 + 1e-12)) << scale;
    const double digit = length_mm / std::pow(10.0, std::floor(std::log10(length_mm) + 1e-9));
    EXPECT_TRUE(std::abs(digit - 1.0) < 1e-9 || std::abs(digit - 2.0) < 1e-9 ||
                std::abs(digit - 5.0) < 1e-9)
        << length_mm;
  }
  EXPECT_DOUBLE_EQ(bar_length_mm(2.0, 20.0), 10.0);
}

TEST(ScaleBar, RulerEndsWhereItsLengthInMmEnds) {
  PdfCanvas canvas("title", "2026-11-25");
  canvas.add_page();
  EXPECT_DOUBLE_EQ(draw_bar(canvas, 100.0, 50.0, 40.0), 140.0);
  // 20 mm at 2.5 points a mm, then five points and the words "20 mm".
  const double words = canvas.text_width("20 mm", {7.2, false});
  EXPECT_NEAR(draw_ruler(canvas, 100.0, 80.0, 2.5, 44.0), 100.0 + 50.0 + 5.0 + words, 1e-9);
}

}  // namespace
}  // namespace trammel
