#include "trammel/changes/filled_cells.hpp"

#include <cmath>

namespace trammel {

FilledCells::FilledCells(const Eigen::Matrix3Xd& points_mm, double edge_mm) : edge_mm_(edge_mm) {
  for (Eigen::Index i = 0; i < points_mm.cols(); ++i)
    cells_[key_of(points_mm.col(i))].push_back(i);
}

const std::vector<Eigen::Index>* FilledCells::in_cell_of(const Eigen::Vector3d& at) const {
  const auto found = cells_.find(key_of(at));
  return found == cells_.end() ? nullptr : &found->second;
}

std::uint64_t FilledCells::key_of(const Eigen::Vector3d& at) const {
  std::uint64_t key = 0;
  for (int axis = 0; axis < 3; ++axis) {
    const auto cell = static_cast<std::int64_t>(std::floor(at[axis] / edge_mm_));
    key = key << 21U | (static_cast<std::uint64_t>(cell) & 0x1FFFFFU);
  }
  return key;
}

}  // namespace trammel
