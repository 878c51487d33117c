#pragma once

/// Why a scan does not show a surface that was there all the same: it hides it itself, or shows the
/// other side of the same sheet.

#include <Eigen/Core>

#include "trammel/changes/filled_cells.hpp"
#include "trammel/changes/m3c2.hpp"

namespace trammel {

/// Asked of places that one scan shows and the other does not; references live as long as it does.
class WhyNotSeen {
 public:
  /// @param other     the scan that does not show them
  /// @param cores_mm  3 × #C, its core points: what may stand before a place
  /// @param core_mm   how far apart they lie
  WhyNotSeen(const Cloud& other, const Eigen::Matrix3Xd& cores_mm, double core_mm,
             const M3c2Settings& how);

  /// Of the directions within 45° of the normal (either side, where they are not known) three in
  /// four are closed by surface that the other scan shows within 150 mm.
  [[nodiscard]] bool is_hidden(const Eigen::Vector3d& at, const Eigen::Vector3d& normal) const;

  /// Straight behind it, within the depth that is looked through, the other scan's nearest surface
  /// faces away. What stood before a surface that the other scan shows is none. Needs sides.
  [[nodiscard]] bool is_a_far_side(const Eigen::Vector3d& at, const Eigen::Vector3d& normal) const;

 private:
  [[nodiscard]] bool is_closed(const Eigen::Vector3d& at, const Eigen::Vector3d& out) const;
  [[nodiscard]] bool is_free(const Eigen::Vector3d& from, const Eigen::Vector3d& way) const;

  const Cloud& other_;
  const M3c2Settings& how_;
  double core_mm_;
  FilledCells standing_;
};

}  // namespace trammel
