#include "rim_face.hpp"

#include <Eigen/Dense>
#include <algorithm>
#include <cmath>

#include "trammel/base/stats.hpp"
#include "trammel/geometry/fit_slot.hpp"

namespace trammel {

using Eigen::Index;
using Eigen::Vector3d;

RimFace rim_face(const Eigen::Matrix3Xd& points_mm, const Eigen::Matrix3Xd& normals,
                 const RimPlace& place) {
  const Vector3d out = place.looks_up ? place.axis : Vector3d(-place.axis);
  const Vector3d across = place.axis.cross(place.along);
  std::vector<Vector3d> near;  // along, across, level
  std::vector<double> levels;
  for (Index i = 0; i < points_mm.cols(); ++i) {
    const Vector3d arm = points_mm.col(i) - place.center_mm;
    const Vector3d at(arm.dot(place.along), arm.dot(across), place.axis.dot(arm));
    if (!(std::abs(at.z()) <= place.level_mm &&
          arm_from_middle_line(place.half_straight_mm, at.head<2>()).norm() <= place.reach_mm))
      continue;
    if (std::abs(normals.col(i).dot(out)) < 0.3) continue;  // of the wall
    near.push_back(at);
    if (normals.col(i).dot(out) > 0.9) levels.push_back(at.z());
  }
  RimFace face;
  if (levels.size() < static_cast<std::size_t>(kRimPoints)) return face;
  face.plane = Vector3d(0, 0, median_of(levels));
  face.reach_mm = 0.3;
  for (int round = 0; round < 5; ++round) {
    Eigen::Matrix3d normal_matrix = Eigen::Matrix3d::Zero();
    Vector3d right = Vector3d::Zero();
    std::vector<double> residuals;
    for (const Vector3d& at : near) {
      const Vector3d row(at.x(), at.y(), 1.0);
      const double residual = face.above_mm(at);
      if (std::abs(residual) > face.reach_mm) continue;
      normal_matrix += row * row.transpose();
      right += at.z() * row;
      residuals.push_back(residual);
    }
    if (residuals.size() < static_cast<std::size_t>(kRimPoints)) return face;
    face.plane = normal_matrix.ldlt().solve(right);
    face.noise_mm = robust_sigma(residuals);
    face.reach_mm = std::clamp(4.0 * face.noise_mm, kLeastBlur_mm, 0.3);
  }
  for (const Vector3d& at : near) {
    if (std::abs(face.above_mm(at)) <= face.reach_mm) face.points.emplace_back(at.head<2>());
  }
  return face;
}

}  // namespace trammel
