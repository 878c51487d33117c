#include "trammel/changes/view_directions.hpp"

#include <Eigen/Geometry>
#include <algorithm>
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

bool are_closed_about(const Eigen::Vector3d& out, double share,
                      const std::function<bool(const Eigen::Vector3d&)>& is_closed) {
  const Eigen::Matrix3Xd ways = directions_about(out);
  const auto most_open = static_cast<int>((1.0 - share) * static_cast<double>(ways.cols()));
  int open = 0;
  for (Eigen::Index k = 0; k < ways.cols() && open <= most_open; ++k)
    if (!is_closed(ways.col(k))) ++open;
  return open <= most_open;
}

double widest_gap(std::vector<double> turns_rad) {
  if (turns_rad.empty()) return 2.0 * kPi;
  std::sort(turns_rad.begin(), turns_rad.end());
  double widest = turns_rad.front() + 2.0 * kPi - turns_rad.back();
  for (std::size_t i = 1; i < turns_rad.size(); ++i)
    widest = std::max(widest, turns_rad[i] - turns_rad[i - 1]);
  return widest;
}

}  // namespace trammel
