#include "trammel/base/directions.hpp"

#include <cmath>

#include "trammel/base/constants.hpp"

namespace trammel {

std::vector<Eigen::Vector3d> spread_directions(int count) {
  const double golden_angle = kPi * (3.0 - std::sqrt(5.0));
  std::vector<Eigen::Vector3d> directions;
  for (int i = 0; i < count; ++i) {
    const double z = 1.0 - (2.0 * i + 1.0) / count;
    const double r = std::sqrt(1.0 - z * z);
    directions.emplace_back(r * std::cos(golden_angle * i), r * std::sin(golden_angle * i), z);
  }
  return directions;
}

}  // namespace trammel
