#include "trammel/report/png.hpp"

#include <gtest/gtest.h>
#include <png.h>

#include <cstring>

namespace trammel {
namespace {

TEST(Png, ReadsBackTheSamePixels) {
  Picture picture;
  picture.width = 37;
  picture.height = 11;
  for (int i = 0; i < 3 * 37 * 11; ++i)
    picture.rgb.push_back(static_cast<std::uint8_t>(i * 7 % 256));
  const std::string bytes = png_of(picture);
  png_image image;
  std::memset(&image, 0, sizeof(image));
  image.version = PNG_IMAGE_VERSION;
  ASSERT_NE(png_image_begin_read_from_memory(&image, bytes.data(), bytes.size()), 0);
  image.format = PNG_FORMAT_RGB;
  ASSERT_EQ(image.width, 37u);
  ASSERT_EQ(image.height, 11u);
  std::vector<std::uint8_t> pixels(PNG_IMAGE_SIZE(image));
  ASSERT_NE(png_image_finish_read(&image, nullptr, pixels.data(), 0, nullptr), 0);
  EXPECT_EQ(pixels, picture.rgb);
}

}  // namespace
}  // namespace trammel
