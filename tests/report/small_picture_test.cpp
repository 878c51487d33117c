#include "trammel/report/small_picture.hpp"

#include <gtest/gtest.h>

#include <numeric>

namespace trammel {
namespace {

TEST(SmallPicture, KeepsShapeAndMean) {
  Picture picture{300, 100, std::vector<std::uint8_t>(3 * 300 * 100)};
  for (std::size_t i = 0; i < picture.rgb.size(); ++i)
    picture.rgb[i] = static_cast<std::uint8_t>((i * 37) % 251);
  const Picture small = shrunk(picture, 70, 70);
  EXPECT_EQ(small.width, 70);
  EXPECT_EQ(small.height, 23);
  ASSERT_EQ(small.rgb.size(), 3U * 70U * 23U);
  const auto mean = [](const Picture& of) {
    return std::accumulate(of.rgb.begin(), of.rgb.end(), 0.0) / static_cast<double>(of.rgb.size());
  };
  EXPECT_NEAR(mean(small), mean(picture), 0.5);  // each value is rounded by at most a half
}

TEST(SmallPicture, HalvesExactly) {
  const Picture picture{2, 2, {0, 0, 0, 100, 100, 100, 40, 40, 40, 60, 60, 60}};
  const Picture small = shrunk(picture, 1, 1);
  EXPECT_EQ(small.rgb, (std::vector<std::uint8_t>{50, 50, 50}));
}

TEST(SmallPicture, NeverVanishesAndNeverGrows) {
  const Picture line{500, 1, std::vector<std::uint8_t>(1500, 9)};
  EXPECT_EQ(shrunk(line, 10, 10).height, 1);
  const Picture little{3, 2, std::vector<std::uint8_t>(18, 7)};
  EXPECT_EQ(shrunk(little, 10, 10).width, 3);
}

}  // namespace
}  // namespace trammel
