#include "trammel/report/picture.hpp"

#include <gtest/gtest.h>

#include <limits>

#include "support/shapes.hpp"
#include "trammel/base/parallel.hpp"
#include "trammel/geometry/surface_cells.hpp"

namespace trammel {
namespace {

/// A plate of 40 × 20 mm seen square from above; deviation as a function of x.
Inspection plate(double (*deviation)(double x)) {
  Inspection inspection;
  inspection.surface.cells = CellTree(test::box({0, 0, 0}, {40, 20, 5}), 1.0).take_cells();
  const Eigen::Index count = inspection.surface.cells.size();
  inspection.surface.readings.deviation_mm.resize(count);
  for (Eigen::Index c = 0; c < count; ++c) {
    inspection.surface.readings.deviation_mm[c] =
        deviation(inspection.surface.cells.center_mm(0, c));
  }
  return inspection;
}

const View kAbove = view_from({0, 0, 1});

PictureSettings ten_pixels_a_mm() {
  PictureSettings settings;
  settings.frame = {{-1, -1}, {41, 21}};
  settings.mm_per_pixel = 0.1;
  return settings;
}

Rgb pixel(const Picture& picture, double x_mm, double y_mm) {
  const auto column = static_cast<std::size_t>((x_mm + 1) * 10);
  const auto row = static_cast<std::size_t>((21 - y_mm) * 10);
  const std::size_t at = 3 * (row * static_cast<std::size_t>(picture.width) + column);
  return {picture.rgb[at], picture.rgb[at + 1], picture.rgb[at + 2]};
}

/// Equal but for shading: the channels are one factor apart.
void expect_hue(Rgb seen, Rgb step) {
  const double factor = seen.red / static_cast<double>(step.red);
  EXPECT_GE(factor, 0.79);
  EXPECT_LE(factor, 1.0);
  EXPECT_NEAR(seen.green, factor * step.green, 1.5);
  EXPECT_NEAR(seen.blue, factor * step.blue, 1.5);
}

TEST(Picture, PaintsStepsWhereTheDeviationCrossesThem) {
  // Proud by x/20 mm: past 0.5 at x = 10, 0.75 at 15, 1 at 20.
  const Inspection inspection = plate([](double x) { return x / 20.0; });
  const Picture picture = Painter(inspection).paint(kAbove, ten_pixels_a_mm());
  expect_hue(pixel(picture, 9.5, 10), colour_of_step(0));
  expect_hue(pixel(picture, 10.5, 10), colour_of_step(1));
  expect_hue(pixel(picture, 14.5, 10), colour_of_step(1));
  expect_hue(pixel(picture, 15.5, 10), colour_of_step(2));
  expect_hue(pixel(picture, 20.5, 10), colour_of_step(3));
}

TEST(Picture, UnseenSurfaceIsPaperUnderLinesAt45Degrees) {
  const Inspection inspection =
      plate([](double) { return std::numeric_limits<double>::quiet_NaN(); });
  const Picture picture = Painter(inspection).paint(kAbove, ten_pixels_a_mm());
  int paper = 0, line = 0;
  for (int i = 0; i < 300; ++i) {
    const double x = 5.05 + 0.1 * i;  // middles of pixels
    const Rgb here = pixel(picture, x, 10.05);
    paper += here == kPaper ? 1 : 0;
    line += here.red < 0xd0 ? 1 : 0;
    // The same line one mm up and one mm left: a line rises to the right.
    const Rgb along = pixel(picture, x + 1.0, 11.05);
    EXPECT_NEAR(here.red, along.red, 1);
  }
  EXPECT_GT(paper, 150);
  EXPECT_GT(line, 15);
}

TEST(Picture, ShowsPaperBesideThePartAndAnEdgeAroundIt) {
  const Inspection inspection = plate([](double) { return 0.0; });
  const Picture picture = Painter(inspection).paint(kAbove, ten_pixels_a_mm());
  EXPECT_TRUE(pixel(picture, -0.5, 10) == kPaper);
  EXPECT_LT(pixel(picture, 0.04, 10).red, 0xb0);
}

TEST(Picture, IsTheSameOnAnyNumberOfThreads) {
  const Inspection inspection = plate([](double x) { return x / 20.0; });
  const Painter painter(inspection);
  std::vector<std::uint8_t> one, two;
  {
    const ThreadLimit limit(1);
    one = painter.paint(view_from({1, -1, 1}), ten_pixels_a_mm()).rgb;
  }
  {
    const ThreadLimit limit(2);
    two = painter.paint(view_from({1, -1, 1}), ten_pixels_a_mm()).rgb;
  }
  EXPECT_EQ(one, two);
}

}  // namespace
}  // namespace trammel
