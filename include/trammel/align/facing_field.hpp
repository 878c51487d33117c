#pragma once

/// Nearest facing design surface by table look-up: rough, and a hundred times faster than the exact
/// index. Only the coarse search uses it.

#include <Eigen/Core>
#include <array>
#include <cstdint>
#include <vector>

#include "trammel/geometry/sample_surface.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel {

/// A cubic grid over the design's box and some room around it. Each cell knows, for each of six
/// directions, the nearest of the surface samples that face it. Kept up to date by sweeping known
/// samples from cell to neighbour cell [after Danielsson 1980, doi:10.1016/0146-664X(80)90054-4].
class FacingField {
 public:
  /// @param samples  of the design's surface; must outlive the field
  FacingField(const SurfaceSamples& samples, const Box& box);

  /// Index of a sample near the nearest one that faces like `normal`; −1 when no sample does.
  [[nodiscard]] int near(const Eigen::Vector3d& p_design, const Eigen::Vector3d& normal) const;

  [[nodiscard]] const SurfaceSamples& samples() const { return samples_; }
  [[nodiscard]] double cell_mm() const { return cell_mm_; }

 private:
  using Table = std::vector<std::int32_t>;
  void fill(std::size_t direction);
  void sweep(Table& table, const std::array<bool, 3>& down) const;
  [[nodiscard]] Eigen::Vector3i cell_of(const Eigen::Vector3d& p) const;
  [[nodiscard]] std::size_t slot(const Eigen::Vector3i& cell) const;
  [[nodiscard]] Eigen::Vector3d center(const Eigen::Vector3i& cell) const;

  const SurfaceSamples& samples_;
  Eigen::Vector3d low_mm_;
  Eigen::Vector3i cells_;
  double cell_mm_ = 1.0, cells_per_mm_ = 1.0;
  std::array<Table, 6> tables_;
};

}  // namespace trammel
