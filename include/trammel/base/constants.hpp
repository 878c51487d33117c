#pragma once

namespace trammel {

inline constexpr double kPi = 3.14159265358979323846;

}  // namespace trammel
