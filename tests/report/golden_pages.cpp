#include "report/golden_pages.hpp"

#include <png.h>

#include <cstdlib>
#include <stdexcept>

#include "report/pdf_tools.hpp"

namespace trammel::test {
namespace {

constexpr int kTile = 16;

double tile_apart(const Picture& a, const Picture& b, int left, int top) {
  long sum = 0;
  for (int y = top; y < top + kTile; ++y) {
    const auto row = static_cast<std::size_t>(3 * (y * a.width + left));
    for (std::size_t i = row; i < row + 3 * kTile; ++i)
      sum += std::abs(int(a.rgb[i]) - int(b.rgb[i]));
  }
  return static_cast<double>(sum) / (3.0 * kTile * kTile);
}

}  // namespace

std::optional<std::string> page_png(const std::string& tool, const std::string& pdf_bytes,
                                    std::size_t page) {
  const std::string number = std::to_string(page);
  return print_of(
      tool,
      "-png -r " + std::to_string(kPageDots) + " -f " + number + " -l " + number + " -singlefile",
      pdf_bytes);
}

Picture picture_of_png(const std::string& png_bytes) {
  png_image image{};
  image.version = PNG_IMAGE_VERSION;
  if (png_image_begin_read_from_memory(&image, png_bytes.data(), png_bytes.size()) == 0)
    throw std::runtime_error("no PNG: " + png_bytes.substr(0, 200));
  image.format = PNG_FORMAT_RGB;
  Picture picture;
  picture.width = static_cast<int>(image.width);
  picture.height = static_cast<int>(image.height);
  picture.rgb.resize(PNG_IMAGE_SIZE(image));
  if (png_image_finish_read(&image, nullptr, picture.rgb.data(), 0, nullptr) == 0)
    throw std::runtime_error("a PNG that is cut short");
  return picture;
}

Apart apart(const Picture& a, const Picture& b) {
  if (a.width != b.width || a.height != b.height) return {255.0, 0, 0};
  Apart worst;
  for (int top = 0; top + kTile <= a.height; top += kTile / 2) {
    for (int left = 0; left + kTile <= a.width; left += kTile / 2) {
      const double levels = tile_apart(a, b, left, top);
      if (levels > worst.levels) worst = {levels, left, top};
    }
  }
  return worst;
}

}  // namespace trammel::test
