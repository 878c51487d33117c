#include "trammel/report/view.hpp"

#include <Eigen/Geometry>
#include <algorithm>
#include <cmath>

#include "trammel/report/words.hpp"

namespace trammel {

View view_from(const Eigen::Vector3d& towards) {
  View view;
  view.towards = towards.normalized();
  const bool along_z = std::abs(view.towards.z()) > 0.99;
  const Eigen::Vector3d upward = along_z ? Eigen::Vector3d::UnitY() : Eigen::Vector3d::UnitZ();
  view.right = upward.cross(view.towards).normalized();
  view.up = view.towards.cross(view.right);
  return view;
}

Eigen::Vector2d project(const View& view, const Eigen::Vector3d& p_mm) {
  return {view.right.dot(p_mm), view.up.dot(p_mm)};
}

FlatBox outline_of(const View& view, const Eigen::Matrix3Xd& points_mm) {
  if (points_mm.cols() == 0) return {};
  const Eigen::RowVectorXd x = view.right.transpose() * points_mm;
  const Eigen::RowVectorXd y = view.up.transpose() * points_mm;
  return {{x.minCoeff(), y.minCoeff()}, {x.maxCoeff(), y.maxCoeff()}};
}

std::string view_title(const View& view) {
  return "from " + axes_words(view.towards);
}

std::vector<View> all_views() {
  // From the front right and above first: where two directions show as much, the earlier is taken.
  std::vector<Eigen::Vector3i> directions;
  for (const int z : {1, -1, 0}) {
    for (const int y : {-1, 1, 0}) {
      for (const int x : {1, -1, 0}) {
        if (x != 0 || y != 0 || z != 0) directions.emplace_back(x, y, z);
      }
    }
  }
  std::stable_sort(directions.begin(), directions.end(),
                   [](const Eigen::Vector3i& a, const Eigen::Vector3i& b) {
                     return a.squaredNorm() > b.squaredNorm();
                   });
  std::vector<View> views;
  for (const Eigen::Vector3i& direction : directions)
    views.push_back(view_from(direction.cast<double>()));
  return views;
}

}  // namespace trammel
