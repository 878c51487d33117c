#pragma once

/// Places that one scan shows and the other does not, though it might well have: a hole drilled or
/// filled since leaves nothing whose change could be measured.

#include <Eigen/Core>
#include <cstdint>
#include <vector>

#include "trammel/geometry/point_index.hpp"
#include "trammel/model/changes.hpp"

namespace trammel {

/// What the other scan may show of it.
struct OtherScan {
  const Eigen::Matrix3Xd& points_mm;  ///< 3 × #P, old frame
  const PointIndex& index;            ///< of its points, old frame
  const Eigen::Matrix3Xd& cores_mm;   ///< 3 × #N, its core points: what may stand before a place
};

/// Connected core points of one scan that the other does not show, one cylinder at least, reaching
/// `least_area_mm2` together with the rim in which a third of the points is still enough to read,
/// when
/// - nine tenths of them look one way, within 40°;
/// - level with their middle the other scan has hardly a point: one in twenty of the usual;
/// - core points of the same smooth surface that both scans show lie around them, with no gap wider
///   than 90° as seen from their middle: what lies at the end of a scan, or behind an edge, is not
///   told of;
/// - nothing stands before them: of the directions within 45° of their normal no more than a third
///   is taken by surface within 150 mm (a scanner's usual distance; common practice, no source).
/// Where it is not known which side is outside, either may be the open one.
/// @param cores    of one scan
/// @param is_only  #C, 1 where the other scan shows nothing
/// @return in the order of their first core points; `in_old` is left true
[[nodiscard]] std::vector<OpenPlace> open_places_among(const CorePoints& cores,
                                                       const std::vector<std::uint8_t>& is_only,
                                                       const OtherScan& other,
                                                       const ChangeScales& scales,
                                                       double least_area_mm2, bool sides_known);

}  // namespace trammel
