#pragma once

/// Scan points of one kind that lie together.

#include <Eigen/Core>
#include <vector>

namespace trammel {

struct PointPatch {
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();  ///< mean of its points, design frame
  int points = 0;
  std::vector<Eigen::Index> members;  ///< columns of the points it was made from
};

/// Joins points that lie at most `apart_mm` from each other; most points first, only patches of at
/// least `fewest`.
/// @param points_mm  3 × #P, design frame
/// @param chosen     columns of `points_mm` to join
[[nodiscard]] std::vector<PointPatch> point_patches(const Eigen::Matrix3Xd& points_mm,
                                                    const std::vector<Eigen::Index>& chosen,
                                                    double apart_mm, int fewest);

}  // namespace trammel
