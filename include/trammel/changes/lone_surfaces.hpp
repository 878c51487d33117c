#pragma once

/// Surface that one scan alone shows and of which nothing tells that the other merely missed it: a
/// block taken off or put on, a piece cut away, or a part that was not scanned.

#include <Eigen/Core>
#include <cstdint>
#include <vector>

#include "trammel/changes/m3c2.hpp"
#include "trammel/changes/scan_ends.hpp"
#include "trammel/model/changes.hpp"

namespace trammel {

/// Connected core points of one scan, of `least_area_mm2` at least, that the other does not show,
/// but for those of which it is clear why it does not:
/// - a strip along what both show, one cylinder wide: a scan's border is known no better;
/// - where the other scan has points, though too few to read;
/// - the far side of what the other scan shows: straight behind it, within the depth that is looked
///   through, its nearest surface faces away. What stood before a surface that the other scan shows
///   is not excused so. Needs sides;
/// - what is hidden: of the directions within 45° of the normal (either side, where they are not
///   known) three in four are closed by surface that the other scan shows within 150 mm. Only that:
///   a block that is gone stands in the way of nothing;
/// - what goes on beyond where the other scan ended (scan_ends.hpp).
/// @param cores    of the scan that shows it
/// @param other    the scan that does not
/// @param is_only  #C, 1 where the other scan shows nothing
/// @param told     places already told of: a surface that has one's middle is left out
/// @return in the order of their first core points; `in_old` is left true
[[nodiscard]] std::vector<OpenPlace> lone_surfaces_among(
    const CorePoints& cores, const std::vector<std::uint8_t>& is_only, const ShownAlone& other,
    const ChangeScales& scales, const M3c2Settings& how, double least_area_mm2,
    const std::vector<OpenPlace>& told);

}  // namespace trammel
