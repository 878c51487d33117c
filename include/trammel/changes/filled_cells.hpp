#pragma once

/// Which cells of space hold points: quick to ask along many lines of sight.

#include <Eigen/Core>
#include <cstdint>
#include <unordered_map>
#include <vector>

namespace trammel {

class FilledCells {
 public:
  /// @param points_mm  3 × #P, no coordinate beyond a million cells
  FilledCells(const Eigen::Matrix3Xd& points_mm, double edge_mm);

  [[nodiscard]] double edge_mm() const { return edge_mm_; }
  /// Numbers of the points in the cell that `at` lies in, ascending; none is nullptr.
  [[nodiscard]] const std::vector<Eigen::Index>* in_cell_of(const Eigen::Vector3d& at) const;
  [[nodiscard]] bool holds(const Eigen::Vector3d& at) const { return in_cell_of(at) != nullptr; }

 private:
  [[nodiscard]] std::uint64_t key_of(const Eigen::Vector3d& at) const;

  double edge_mm_;
  std::unordered_map<std::uint64_t, std::vector<Eigen::Index>> cells_;  ///< only looked up
};

}  // namespace trammel
