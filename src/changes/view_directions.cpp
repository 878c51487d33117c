#include "trammel/changes/view_directions.hpp"

#include <Eigen/Geometry>
#include <cmath>
#include <vector>

#include "trammel/base/constants.hpp"

namespace trammel {

Eigen::Matrix3Xd directions_about(const Eigen::Vector3d& out) {
  const Eigen::Vector3d u = out.unitOrthogonal(), v = out.cross(u);
  std::vector<Eigen::Vector3d> found{out};
  for (int ring = 1; ring <= kLeanRings; ++ring) {
    const double lean = kMostLean * ring / kLeanRings;
    for (int part = 0; part < 6 * ring; ++part) {
      const double turn = kPi * part / (3.0 * ring);
      found.push_back(std::cos(lean) * out +
                      std::sin(lean) * (std::cos(turn) * u + std::sin(turn) * v));
    }
  }
  Eigen::Matrix3Xd all(3, static_cast<Eigen::Index>(found.size()));
  for (std::size_t i = 0; i < found.size(); ++i)
    all.col(static_cast<Eigen::Index>(i)) = found[i];
  return all;
}

}  // namespace trammel
