#pragma once

/// Pages of a PDF as pictures, and how far two pictures of a page lie apart.

#include <cstddef>
#include <optional>
#include <string>

#include "trammel/report/picture.hpp"

namespace trammel::test {

/// Dots an inch of the pages: one is 0.35 mm, a small letter is 7 tall.
constexpr int kPageDots = 72;

/// A page as PNG, by poppler's own renderer (`pdftoppm`) or by cairo (`pdftocairo`); nothing when
/// the tool is not installed.
/// @param page  from 1
[[nodiscard]] std::optional<std::string> page_png(const std::string& tool,
                                                  const std::string& pdf_bytes, std::size_t page);

/// @throws std::runtime_error when the bytes are no PNG
[[nodiscard]] Picture picture_of_png(const std::string& png_bytes);

/// Where two pictures of a page differ most.
struct Apart {
  double levels = 0.0;  ///< of 255: the mean over the pixels and channels of the worst tile
  int x = 0, y = 0;     ///< of that tile's upper left pixel
};

/// The worst of all tiles of 16 × 16 pixels, which overlap by half: a word is as tall as one, so
/// that what moved fills its tile, whereas smoothed borders are a few of its pixels. Pictures of
/// different sizes are 255 apart.
[[nodiscard]] Apart apart(const Picture& a, const Picture& b);

}  // namespace trammel::test
