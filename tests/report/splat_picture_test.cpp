#include "trammel/report/splat_picture.hpp"

#include <gtest/gtest.h>

namespace trammel {
namespace {

constexpr Rgb kNear{200, 100, 50}, kFar{20, 40, 80};

Rgb pixel(const Picture& picture, int x, int y) {
  const auto at = static_cast<std::size_t>(3 * (y * picture.width + x));
  return {picture.rgb[at], picture.rgb[at + 1], picture.rgb[at + 2]};
}

Splats one(const Eigen::Vector3d& at, const Eigen::Vector3d& normal, Rgb colour) {
  Splats out;
  out.points_mm = at;
  out.normals = normal.normalized();
  out.colours = {colour};
  out.fill = {SplatFill::Plain};
  out.radius_mm = 2.0;
  return out;
}

Splats both(const Splats& a, const Splats& b) {
  Splats out = a;
  out.points_mm.conservativeResize(3, 2);
  out.points_mm.col(1) = b.points_mm;
  out.normals.conservativeResize(3, 2);
  out.normals.col(1) = b.normals;
  out.colours.push_back(b.colours[0]);
  out.fill.push_back(b.fill[0]);
  return out;
}

PictureSettings frame() {
  PictureSettings out;
  out.frame = {{-5, -5}, {5, 5}};
  out.mm_per_pixel = 0.1;
  return out;
}

TEST(SplatPicture, DrawsARoundDiscOfItsRadius) {
  const Picture picture =
      paint_splats(one({1, 0, 0}, {0, 0, 1}, kNear), view_from({0, 0, 1}), frame());
  EXPECT_EQ(picture.width, 100);
  EXPECT_EQ(pixel(picture, 60, 50), kNear);  // x = 1: full light
  EXPECT_EQ(pixel(picture, 60, 31), kNear);  // 1.9 mm above
  EXPECT_EQ(pixel(picture, 60, 29), kPaper);
}

TEST(SplatPicture, NearerDiscHidesTheFarther) {
  const Splats splats = both(one({0, 0, 5}, {0, 0, 1}, kNear), one({0, 0, 0}, {0, 0, 1}, kFar));
  EXPECT_EQ(pixel(paint_splats(splats, view_from({0, 0, 1}), frame()), 50, 50), kNear);
  EXPECT_EQ(pixel(paint_splats(splats, view_from({0, 0, -1}), frame()), 50, 50), kFar);
}

TEST(SplatPicture, DiscThatLeansIsNarrowerAndDarker) {
  const Picture picture =
      paint_splats(one({0, 0, 0}, {1, 0, 1}, kNear), view_from({0, 0, 1}), frame());
  const Rgb middle = pixel(picture, 50, 50);
  EXPECT_LT(middle.red, kNear.red);
  EXPECT_EQ(pixel(picture, 50 + 16, 50), kPaper);  // 2 · cos 45° = 1.41 mm
  EXPECT_EQ(pixel(picture, 50, 50 + 18), middle);
}

TEST(SplatPicture, HatchedDiscsShowLines) {
  Splats splats = one({0, 0, 0}, {0, 0, 1}, kPaper);
  splats.fill[0] = SplatFill::Hatched;
  const Picture picture = paint_splats(splats, view_from({0, 0, 1}), frame());
  int lines = 0;
  for (int x = 40; x < 60; ++x)
    lines += pixel(picture, x, 50) == kHatch ? 1 : 0;
  EXPECT_EQ(lines, 2);  // one every ten pixels
}

TEST(SplatPicture, OfNothingIsPaper) {
  Splats none;
  none.radius_mm = 1.0;
  const Picture picture = paint_splats(none, view_from({0, 0, 1}), frame());
  EXPECT_EQ(pixel(picture, 50, 50), kPaper);
}

}  // namespace
}  // namespace trammel
