#pragma once

/// Surface that one scan alone shows amid what the other shows, however narrow: a slot cut or
/// filled, a rib or a stud put on or taken off.

#include <Eigen/Core>
#include <vector>

#include "trammel/changes/change_regions.hpp"
#include "trammel/changes/m3c2.hpp"
#include "trammel/model/changes.hpp"

namespace trammel {

struct PlaceAmid {
  OpenPlace place;          ///< `in_old` is left true
  bool in_surface = false;  ///< in the other's surface rather than across it
  CoreGroup samples;
};

/// Connected samples of surface that the other scan does not show, of `least_area_mm2` at least, of
/// which as much, or a quarter (of a stud only the foot lies near anything), lies
/// - in the other's surface: its points that face like them lie around them, level, with no gap
///   wider than 90°, from the nearest to two cylinders beyond it; or
/// - across its surface: within one cylinder that runs on through theirs, from before it to behind
///   it, where there would be matter; or
/// - before its surface: straight behind them, within 150 mm, the first that it shows faces like
///   them, so that it looked there (needs sides).
/// A scan's border is none of these: beyond it the other shows nothing, and the edge of a sheet
/// lies before or behind all that is next to it. Not told of is what the other scan's surface
/// hides, or of which it shows the far side (why_not_seen.hpp).
/// @param voids  of one scan (voids.hpp)
/// @param own    the scan that shows them
/// @param other  the scan that does not
/// @param other_cores_mm  3 × #C, its core points
/// @param fit    its noise and pose blur what lies before and what behind
/// @return in the order of their first samples
[[nodiscard]] std::vector<PlaceAmid> places_amid(const CorePoints& voids, const Cloud& own,
                                                 const Cloud& other,
                                                 const Eigen::Matrix3Xd& other_cores_mm,
                                                 const ChangeScales& scales,
                                                 const M3c2Settings& how, const ScanFit& fit,
                                                 double least_area_mm2);

}  // namespace trammel
