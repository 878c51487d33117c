#include "trammel/base/directions.hpp"

#include <Eigen/Geometry>
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

std::vector<Eigen::Vector3d> directions_across(const Eigen::Vector3d& normal, int count) {
  const Eigen::Vector3d u = normal.unitOrthogonal(), v = normal.cross(u);
  std::vector<Eigen::Vector3d> directions;
  for (int k = 0; k < count; ++k) {
    const double turn = 2.0 * kPi * k / count;
    directions.emplace_back(std::cos(turn) * u + std::sin(turn) * v);
  }
  return directions;
}

}  // namespace trammel
