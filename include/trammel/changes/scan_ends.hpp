#pragma once

/// Whether a surface that one scan alone shows merely lies beyond where the other scan ended.

#include <Eigen/Core>
#include <cstdint>
#include <vector>

#include "trammel/changes/change_regions.hpp"
#include "trammel/changes/core_points.hpp"
#include "trammel/changes/m3c2.hpp"
#include "trammel/geometry/point_index.hpp"

namespace trammel {

/// The other scan, its core points, and which of them it shows alone.
struct ShownAlone {
  const Cloud& cloud;
  const Eigen::Matrix3Xd& cores_mm;          ///< 3 × #C, old frame
  const std::vector<std::uint8_t>& is_only;  ///< #C
};

/// Asked of surfaces that one scan alone shows; references live as long as it does.
class ScanEnds {
 public:
  /// @param cores, is_only  of the scan that shows them
  /// @param index           of its core points
  ScanEnds(const CorePoints& cores, const std::vector<std::uint8_t>& is_only,
           const PointIndex& index, const ShownAlone& other, const ChangeScales& scales,
           bool sides_known);

  /// Most of the core points that both scans show where the surface begins lie at the border of
  /// what both show, so that it goes on from there; and the other scan shows nothing of its own
  /// about there. A thing that stands on the part has what both show on all sides of its foot;
  /// where a block was taken off the floor beneath shows, and where a sheet was cut its new edge.
  /// What touches nothing that both show does not go on from it.
  /// @param group  core points of one surface that the scan shows alone
  [[nodiscard]] bool other_ended_before(const CoreGroup& group) const;

 private:
  [[nodiscard]] bool is_shared(Eigen::Index at) const {
    return is_only_[static_cast<std::size_t>(at)] == 0;
  }
  [[nodiscard]] std::vector<Eigen::Index> contacts_of(const CoreGroup& group) const;
  [[nodiscard]] bool is_at_border(Eigen::Index at) const;
  [[nodiscard]] bool are_all_round(const std::vector<Eigen::Index>& contacts) const;
  [[nodiscard]] bool other_shows_its_own(const CoreGroup& group,
                                         const std::vector<Eigen::Index>& contacts) const;
  [[nodiscard]] bool other_shows_an_edge(const std::vector<Eigen::Index>& contacts) const;
  [[nodiscard]] bool looks_another_way(int other_point) const;

  const CorePoints& cores_;
  const std::vector<std::uint8_t>& is_only_;
  const PointIndex& index_;
  const ShownAlone& other_;
  const ChangeScales& scales_;
  bool sides_known_;
  std::vector<int> others_own_;  ///< core points that the other scan shows alone
  PointIndex others_own_index_;
};

}  // namespace trammel
