#pragma once

/// Points near a place, where one radius is asked for: quicker than a tree.

#include <Eigen/Core>
#include <array>
#include <cstddef>
#include <vector>

namespace trammel {

/// Points by boxes that are as wide as the radius, and boxes by their hash: near a place are points
/// of its own box and of the 26 about it alone. Boxes of equal hash share a lot, which costs time
/// and nothing else, as distances are asked for.
class PointGrid {
 public:
  /// @param points_mm  3 × #P, finite; not needed any more afterwards
  /// @param chosen     numbers of the points that count
  /// @param radius_mm  above 0
  PointGrid(const Eigen::Matrix3Xd& points_mm, const std::vector<Eigen::Index>& chosen,
            double radius_mm);

  [[nodiscard]] double radius_mm() const { return radius_mm_; }

  /// A point lies within the radius, or at it.
  [[nodiscard]] bool any_near(const Eigen::Vector3d& place_mm) const;

  /// Calls visit(number of the point, point − place) for each that does.
  template <typename Visit>
  void for_each_near(const Eigen::Vector3d& place_mm, const Visit& visit) const {
    const Lots lots = lots_about(place_mm);
    for (std::size_t k = 0; k < lots.count; ++k) {
      for (int i = first_[lots.lot[k]]; i < first_[lots.lot[k] + 1]; ++i) {
        const Eigen::Vector3d off_mm = points_mm_.col(i) - place_mm;
        if (off_mm.squaredNorm() <= radius_mm_ * radius_mm_)
          visit(number_[static_cast<std::size_t>(i)], off_mm);
      }
    }
  }

 private:
  struct Lots {
    std::array<std::size_t, 27> lot;  ///< no two the same
    std::size_t count;
  };
  [[nodiscard]] Lots lots_about(const Eigen::Vector3d& place_mm) const;
  [[nodiscard]] std::size_t lot_of(const Eigen::Array3d& box) const;
  [[nodiscard]] bool any_near_in(std::size_t lot, const Eigen::Vector3d& place_mm) const;

  double radius_mm_;
  std::size_t mask_;        ///< lots less one, a power of two
  std::vector<int> first_;  ///< of each lot, and the end
  std::vector<Eigen::Index> number_;
  Eigen::Matrix3Xd points_mm_;  ///< by lots
};

}  // namespace trammel
