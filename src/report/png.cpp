#include "trammel/report/png.hpp"

#include <png.h>

#include <cstring>

#include "trammel/base/error.hpp"

namespace trammel {

std::string png_of(const Picture& picture) {
  png_image image;
  std::memset(&image, 0, sizeof(image));
  image.version = PNG_IMAGE_VERSION;
  image.width = static_cast<png_uint_32>(picture.width);
  image.height = static_cast<png_uint_32>(picture.height);
  image.format = PNG_FORMAT_RGB;
  image.flags = PNG_IMAGE_FLAG_FAST;
  png_alloc_size_t size = PNG_IMAGE_PNG_SIZE_MAX(image);
  std::string bytes(size, '\0');
  const int done =
      png_image_write_to_memory(&image, bytes.data(), &size, 0, picture.rgb.data(), 0, nullptr);
  TRAMMEL_CHECK(done != 0, image.message);
  bytes.resize(size);
  return bytes;
}

}  // namespace trammel
