#pragma once

/// Numbers into binary files, least significant byte first.

#include <Eigen/Core>
#include <algorithm>
#include <cstdint>
#include <limits>

#include "trammel/report/colours.hpp"

namespace trammel {

/// IEEE 754 single precision, least significant byte first, on any machine.
class ByteWriter {
 public:
  explicit ByteWriter(char* at) : at_(at) {}
  void put(double value) {
    const auto narrow = static_cast<float>(value);
    std::uint32_t bits = 0;
    static_assert(sizeof(bits) == sizeof(narrow) && std::numeric_limits<float>::is_iec559);
    std::copy_n(reinterpret_cast<const char*>(&narrow), sizeof(bits),
                reinterpret_cast<char*>(&bits));
    put(bits);
  }
  void put(const Eigen::Vector3d& value) {
    for (int k = 0; k < 3; ++k)
      put(value[k]);
  }
  void put(std::uint32_t bits) {
    for (unsigned shift = 0; shift < 32; shift += 8)
      *at_++ = static_cast<char>((bits >> shift) & 0xFFU);
  }
  void put(Rgb colour) {
    for (const std::uint8_t channel : {colour.red, colour.green, colour.blue})
      put_byte(channel);
  }
  void put_byte(std::uint8_t byte) { *at_++ = static_cast<char>(byte); }

 private:
  char* at_;
};

}  // namespace trammel
