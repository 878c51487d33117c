#pragma once

/// Nearest neighbours among points (nanoflann underneath).

#include <Eigen/Core>
#include <limits>
#include <memory>
#include <vector>

namespace trammel {

struct Neighbour {
  int index;
  double distance_mm;
};

class PointIndex {
 public:
  /// @param points_mm  3 × #P; must outlive the index
  explicit PointIndex(const Eigen::Matrix3Xd& points_mm);
  /// Of some of the points only; neighbours still come with their numbers among all.
  /// @param chosen  ascending numbers of points; none: all of them
  PointIndex(const Eigen::Matrix3Xd& points_mm, std::vector<int> chosen);
  ~PointIndex();
  PointIndex(PointIndex&&) noexcept;
  PointIndex& operator=(PointIndex&&) noexcept;

  /// Up to `count` nearest points, nearest first (the point itself included when it is in the set);
  /// equal distances by lowest index.
  /// @param radius_mm  none farther than this: much quicker where nothing is near
  [[nodiscard]] std::vector<Neighbour> nearest(
      const Eigen::Vector3d& point_mm, int count,
      double radius_mm = std::numeric_limits<double>::infinity()) const;

  /// All points within the radius, nearest first.
  [[nodiscard]] std::vector<Neighbour> within(const Eigen::Vector3d& point_mm,
                                              double radius_mm) const;

 private:
  struct Tree;
  std::unique_ptr<Tree> tree_;
};

/// Median distance from a point to its nearest neighbour in the index, itself not counted, from a
/// fixed spread of at most 4,000 points. 0 for fewer than two points.
[[nodiscard]] double median_spacing_mm(const Eigen::Matrix3Xd& points_mm, const PointIndex& index);

}  // namespace trammel
