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

/// Most of the core points that both scans show where the surface begins lie at the border of what
/// both show, so that it goes on from there; and the other scan shows nothing of its own about
/// there. A thing that stands on the part has what both show on all sides of its foot; where a
/// block was taken off the floor beneath shows, and where a sheet was cut its new edge. What
/// touches nothing that both show does not go on from it.
/// @param group  core points of one surface that the scan shows alone
[[nodiscard]] bool other_scan_ended(const CorePoints& cores,
                                    const std::vector<std::uint8_t>& is_only,
                                    const PointIndex& index, const CoreGroup& group,
                                    const ShownAlone& other, const ChangeScales& scales,
                                    bool sides_known);

}  // namespace trammel
