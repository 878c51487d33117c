#include "trammel/align/motions.hpp"

#include <algorithm>
#include <array>
#include <cmath>

#include "trammel/base/constants.hpp"
#include "trammel/base/linear_algebra.hpp"
#include "trammel/base/numbers.hpp"

namespace trammel {
namespace {

Eigen::Isometry3d turn_about(const Eigen::Vector3d& center, const Eigen::Vector3d& axis,
                             double angle_rad) {
  Eigen::Isometry3d turn = Eigen::Isometry3d::Identity();
  turn.linear() = Eigen::AngleAxisd(angle_rad, axis).toRotationMatrix();
  turn.translation() = center - turn.linear() * center;
  return turn;
}

/// "the z axis" where a direction is within 3° of an axis of the design, otherwise its components.
std::string direction_in_words(const Eigen::Vector3d& direction) {
  Eigen::Index axis = 0;
  const double largest = direction.cwiseAbs().maxCoeff(&axis);
  if (largest > std::cos(3.0 * kDegree)) return std::string(1, "xyz"[axis]);
  const Eigen::Vector3d d = direction * (direction[axis] < 0.0 ? -1.0 : 1.0);
  return "(" + fixed(d.x(), 2) + ", " + fixed(d.y(), 2) + ", " + fixed(d.z(), 2) + ")";
}

}  // namespace

std::vector<Eigen::Quaterniond> spread_rotations(int count) {
  const double phi = std::sqrt(2.0);
  constexpr double kPsi = 1.533751168755204288118041;  // root of ψ⁴ = ψ + 4
  std::vector<Eigen::Quaterniond> rotations;
  for (int i = 0; i < count; ++i) {
    const double s = i + 0.5;
    const double r = std::sqrt(s / count), rest = std::sqrt(1.0 - s / count);
    const double a = 2.0 * kPi * s / phi, b = 2.0 * kPi * s / kPsi;
    rotations.emplace_back(rest * std::cos(b), r * std::sin(a), r * std::cos(a),
                           rest * std::sin(b));
  }
  return rotations;
}

double corner_distance_mm(const Eigen::Isometry3d& a, const Eigen::Isometry3d& b,
                          const Box& design_box) {
  const Eigen::Isometry3d motion = a * b.inverse();
  double largest = 0.0;
  for (int corner = 0; corner < 8; ++corner) {
    const Eigen::Vector3d p((corner & 1) != 0 ? design_box.high_mm.x() : design_box.low_mm.x(),
                            (corner & 2) != 0 ? design_box.high_mm.y() : design_box.low_mm.y(),
                            (corner & 4) != 0 ? design_box.high_mm.z() : design_box.low_mm.z());
    largest = std::max(largest, (motion * p - p).norm());
  }
  return largest;
}

Eigen::Isometry3d small_motion(const Eigen::Matrix<double, 6, 1>& motion,
                               const Eigen::Vector3d& center_mm) {
  const Eigen::Vector3d turn = motion.head<3>();
  const double angle = turn.norm();
  Eigen::Isometry3d result = Eigen::Isometry3d::Identity();
  if (angle > 0.0) result = turn_about(center_mm, turn / angle, angle);
  result.translation() += motion.tail<3>();
  return result;
}

std::vector<Eigen::Isometry3d> likely_symmetries(const Eigen::Matrix3Xd& points_mm,
                                                 const Box& box) {
  const Eigen::Vector3d centroid = points_mm.rowwise().mean();
  const Eigen::Matrix3Xd centred = points_mm.colwise() - centroid;
  const Eigen::Matrix3d spread = centred * centred.transpose();
  const SymmetricEigen3 principal = symmetric_eigen_3(spread);

  std::vector<Eigen::Isometry3d> turns;
  const auto add_turns_about = [&](const Eigen::Vector3d& center, const Eigen::Vector3d& axis) {
    for (const int degrees : {30,  36,  45,  60,  72,  90,  108, 120, 135, 144, 150, 180,
                              210, 216, 225, 240, 252, 270, 288, 300, 315, 324, 330})
      turns.push_back(turn_about(center, axis, degrees * kDegree));
  };
  for (int axis = 0; axis < 3; ++axis) {
    add_turns_about(box.center_mm(), Eigen::Vector3d::Unit(axis));
    add_turns_about(centroid, principal.vectors.col(axis));
  }
  // Half turns about the diagonals of the box's sides, for square parts.
  for (int axis = 0; axis < 3; ++axis)
    for (const double sign : {1.0, -1.0}) {
      Eigen::Vector3d diagonal = Eigen::Vector3d::Unit((axis + 1) % 3);
      diagonal[(axis + 2) % 3] = sign;
      turns.push_back(turn_about(box.center_mm(), diagonal.normalized(), kPi));
    }
  return turns;
}

std::string motion_in_words(const Eigen::Isometry3d& motion, const Box& box) {
  const Eigen::AngleAxisd turn(motion.linear());
  const Eigen::Vector3d center = box.center_mm();
  const Eigen::Vector3d shift = motion * center - center;
  const double shifted_mm = shift.norm();
  const double turned_mm = std::abs(turn.angle()) * 0.5 * box.diagonal_mm();
  const double least_mm = 0.005 * box.diagonal_mm();
  const bool is_small = turned_mm <= least_mm && shifted_mm <= least_mm;  // then the larger is told
  const int more = is_small ? 1 : 0;                                      // decimals
  std::string words;
  if (turned_mm > (is_small ? shifted_mm : least_mm))
    words = "turned " + fixed(turn.angle() / kDegree, more) + "° about " +
            direction_in_words(turn.axis());
  if (shifted_mm > (is_small ? turned_mm : least_mm) || words.empty())
    words += std::string(words.empty() ? "" : ", ") + "shifted " + fixed(shifted_mm, 1 + more) +
             " mm along " + direction_in_words(shift.normalized());
  return words;
}

}  // namespace trammel
