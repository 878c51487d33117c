#include "trammel/report/small_picture.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "trammel/base/error.hpp"

namespace trammel {
namespace {

/// Which pixels of a line one new pixel covers, and how much of each.
struct Share {
  int pixel;
  double weight;
};

std::vector<Share> shares_of(int index, double step, int count) {
  const double from = step * index, to = std::min(from + step, static_cast<double>(count));
  std::vector<Share> shares;
  for (int pixel = static_cast<int>(from); pixel < count && pixel < to; ++pixel) {
    const double weight = std::min(to, pixel + 1.0) - std::max(from, static_cast<double>(pixel));
    if (weight > 0.0) shares.push_back({pixel, weight});
  }
  return shares;
}

std::array<double, 3> mean_of(const Picture& picture, const std::vector<Share>& columns,
                              const std::vector<Share>& rows) {
  std::array<double, 3> sum{};
  double weight = 0.0;
  for (const Share& row : rows) {
    for (const Share& column : columns) {
      const auto at = 3 * (static_cast<std::size_t>(row.pixel) * picture.width + column.pixel);
      for (std::size_t k = 0; k < 3; ++k)
        sum[k] += row.weight * column.weight * picture.rgb[at + k];
      weight += row.weight * column.weight;
    }
  }
  for (double& channel : sum)
    channel /= weight;
  return sum;
}

}  // namespace

Picture shrunk(const Picture& picture, int most_width, int most_height) {
  TRAMMEL_CHECK(most_width > 0 && most_height > 0, "a picture needs room");
  const double step = std::max(picture.width / static_cast<double>(most_width),
                               picture.height / static_cast<double>(most_height));
  if (step <= 1.0) return picture;
  Picture small;
  small.width = std::clamp(static_cast<int>(std::lround(picture.width / step)), 1, most_width);
  small.height = std::clamp(static_cast<int>(std::lround(picture.height / step)), 1, most_height);
  const double across = picture.width / static_cast<double>(small.width);
  const double down = picture.height / static_cast<double>(small.height);
  for (int y = 0; y < small.height; ++y) {
    const std::vector<Share> rows = shares_of(y, down, picture.height);
    for (int x = 0; x < small.width; ++x) {
      for (const double channel : mean_of(picture, shares_of(x, across, picture.width), rows))
        small.rgb.push_back(static_cast<std::uint8_t>(std::lround(channel)));
    }
  }
  return small;
}

}  // namespace trammel
