#pragma once

/// Measures a hole or stud in a scan without a design: by the flat face that it stands in, the rim
/// where that face leaves off, and the wall behind or upon it.

#include <Eigen/Core>
#include <optional>
#include <vector>

#include "trammel/model/mate.hpp"
#include "trammel/model/scan.hpp"

namespace trammel {

/// The round hole or stud nearest to `at_mm` that a bolt of that size may stand in.
///
/// Of the flat faces within three bolts' widths of the place the three largest are taken in turn,
/// the nearest first. On each
/// the circle is looked for in which the face leaves off (geometry/measure_rim.hpp), of 0.6 to 1.4
/// times the bolt's diameter, its middle within one diameter of the place. Where the wall that goes
/// into the face or stands upon it was seen as well (geometry/measure_hole.hpp), its axis tells the
/// place better: it counts where it meets the face.
///
/// Not measured, with its reason: no such circle; two of them; a rim and a wall that disagree by
/// more than 0.15 of the bolt and four standard errors. A round gap in the scan is taken for a rim:
/// that something is there the caller knows.
/// @param points_mm  3 × #P
/// @param normals    3 × #P unit, of either sign where not `faces_out`; empty: estimated here
/// @param faces_out  whether the normals look to the side that was scanned
[[nodiscard]] MateHole measure_mate_hole(const Eigen::Matrix3Xd& points_mm,
                                         const Eigen::Matrix3Xd& normals, bool faces_out,
                                         const Eigen::Vector3d& at_mm, double bolt_mm);

/// Every hole of a mate, and U of one of its readings: the one given, otherwise twice the noise
/// about the faces of its holes, and no less than 0.002 mm.
/// @param scan            mm, tidied
/// @param places_mm       one a bolt, in the scan's frame
/// @param bolts_mm        diameters, as many
/// @param uncertainty_mm  what the plan gives
/// @return  group, file, sha256 and unit are left empty
[[nodiscard]] Mate measure_mate(const Scan& scan, const std::vector<Eigen::Vector3d>& places_mm,
                                const std::vector<double>& bolts_mm,
                                std::optional<double> uncertainty_mm);

}  // namespace trammel
