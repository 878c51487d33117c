#include "trammel/align/facing_field.hpp"

#include <algorithm>
#include <cmath>

#include "trammel/base/parallel.hpp"

namespace trammel {
namespace {

constexpr double kRoomShare = 0.12;      // room around the box, in diagonals
constexpr double kCellShare = 1 / 56.0;  // edge of a cell, in diagonals

/// Normals within 72° of a direction face it. A query asks the nearest of the six directions, at
/// most 55° off, so a sample is missed only when it is turned well away from the query's normal.
constexpr double kLeastCosine = 0.3;

/// +x, −x, +y, −y, +z, −z.
double along(const Eigen::Vector3d& normal, std::size_t direction) {
  const double value = normal[static_cast<Eigen::Index>(direction / 2)];
  return direction % 2 == 0 ? value : -value;
}

std::size_t nearest_direction(const Eigen::Vector3d& normal) {
  const Eigen::Vector3d size = normal.cwiseAbs();
  Eigen::Index axis = size.y() > size.x() ? 1 : 0;
  if (size.z() > size[axis]) axis = 2;
  return 2 * static_cast<std::size_t>(axis) + (normal[axis] < 0.0 ? 1 : 0);
}

}  // namespace

FacingField::FacingField(const SurfaceSamples& samples, const Box& box) : samples_(samples) {
  const double diagonal_mm = std::max(box.diagonal_mm(), 1e-9);
  cell_mm_ = kCellShare * diagonal_mm;
  cells_per_mm_ = 1.0 / cell_mm_;
  low_mm_ = box.low_mm.array() - kRoomShare * diagonal_mm;
  const Eigen::Array3d size = box.size_mm().array() + 2.0 * kRoomShare * diagonal_mm;
  cells_ = (size / cell_mm_).ceil().cast<int>().max(1);
  for_each_index(
      tables_.size(), [&](std::size_t direction) { fill(direction); }, 1);
}

Eigen::Vector3i FacingField::cell_of(const Eigen::Vector3d& p) const {
  Eigen::Vector3i cell;
  for (int axis = 0; axis < 3; ++axis) {
    const double at = (p[axis] - low_mm_[axis]) * cells_per_mm_;
    // In this order what is not a number falls into cell 0; std::clamp would leave it as it is.
    cell[axis] = static_cast<int>(std::max(0.0, std::min(at, cells_[axis] - 0.5)));
  }
  return cell;
}

std::size_t FacingField::slot(const Eigen::Vector3i& cell) const {
  return static_cast<std::size_t>((cell.z() * cells_.y() + cell.y()) * cells_.x() + cell.x());
}

Eigen::Vector3d FacingField::center(const Eigen::Vector3i& cell) const {
  return low_mm_ + cell_mm_ * (cell.cast<double>().array() + 0.5).matrix();
}

void FacingField::fill(std::size_t direction) {
  Table& table = tables_[direction];
  table.assign(static_cast<std::size_t>(cells_.prod()), -1);
  for (Eigen::Index i = 0; i < samples_.points_mm.cols(); ++i) {
    if (along(samples_.normals.col(i), direction) < kLeastCosine) continue;
    const Eigen::Vector3i cell = cell_of(samples_.points_mm.col(i));
    std::int32_t& held = table[slot(cell)];
    const auto square = [&](Eigen::Index s) {
      return (samples_.points_mm.col(s) - center(cell)).squaredNorm();
    };
    if (held < 0 || square(i) < square(held)) held = static_cast<std::int32_t>(i);
  }
  for (int signs = 0; signs < 8; ++signs)
    sweep(table, {(signs & 1) != 0, (signs & 2) != 0, (signs & 4) != 0});
}

/// One pass over all cells in the given order; each looks at the three neighbours before it.
void FacingField::sweep(Table& table, const std::array<bool, 3>& down) const {
  const std::array<std::ptrdiff_t, 3> stride{1, cells_.x(),
                                             std::ptrdiff_t{cells_.x()} * cells_.y()};
  std::array<std::ptrdiff_t, 3> back{};  // to the neighbour before
  for (std::size_t axis = 0; axis < 3; ++axis)
    back[axis] = down[axis] ? stride[axis] : -stride[axis];
  const auto place = [&](int step, int axis) {
    return down[static_cast<std::size_t>(axis)] ? cells_[axis] - 1 - step : step;
  };
  for (int k = 0; k < cells_.z(); ++k)
    for (int j = 0; j < cells_.y(); ++j)
      for (int i = 0; i < cells_.x(); ++i) {
        const Eigen::Vector3i cell(place(i, 0), place(j, 1), place(k, 2));
        const Eigen::Vector3d at = center(cell);
        std::int32_t* const here = table.data() + slot(cell);
        const auto square = [&](std::int32_t s) {
          return (samples_.points_mm.col(s) - at).squaredNorm();
        };
        const std::int32_t held = *here;
        double best = held < 0 ? HUGE_VAL : square(held);
        const auto look_at = [&](std::size_t axis) {
          const std::int32_t offered = here[back[axis]];
          if (offered < 0 || offered == held) return;
          const double offers = square(offered);
          if (offers >= best) return;
          best = offers;
          *here = offered;
        };
        if (i > 0) look_at(0);
        if (j > 0) look_at(1);
        if (k > 0) look_at(2);
      }
}

int FacingField::near(const Eigen::Vector3d& p_design, const Eigen::Vector3d& normal) const {
  return tables_[nearest_direction(normal)][slot(cell_of(p_design))];
}

}  // namespace trammel
