#pragma once

/// Pictures as PNG files (libpng).

#include <string>

#include "trammel/report/picture.hpp"

namespace trammel {

/// The bytes of a PNG file, packed fast rather than small.
/// @throws Error Internal when libpng refuses
[[nodiscard]] std::string png_of(const Picture& picture);

}  // namespace trammel
