#pragma once

/// What strays make by chance: patches of a few points, in a scan that has many of them.

#include <cstddef>
#include <cstdint>
#include <vector>

#include "trammel/geometry/surface_index.hpp"
#include "trammel/judge/point_patches.hpp"
#include "trammel/judge/surface_out_of_place.hpp"

namespace trammel {

/// Strays per mm³ about the part: the lesser of the density of points in the material, which a real
/// cut raises, and of those in the first millimetre above the limits of its faces, which what is
/// left standing, bench and clamp raise. (Farther off, tidying may have taken strays away.) 0 for a
/// design with open edges, which has no inside.
/// @param inside  #P, 1: in the material, as `points_inside` has it
[[nodiscard]] double strays_per_mm3(const PlacedScan& scan, const SurfaceIndex& design,
                                    const std::vector<std::uint8_t>& inside);

/// Of them in a ball of that radius, on average.
[[nodiscard]] double strays_about(double strays_per_mm3, double radius_mm);

/// What is told from strays, and from how many.
struct AmongStrays {
  double strays_per_mm3 = 0.0;
  std::size_t count = 0;        ///< of points that may be strays
  double least_area_mm2 = 0.0;  ///< of a defect
  double point_mm2 = 0.0;       ///< surface that a scan point stands for
};

/// Whether strays may hide a defect of the least area: one of them lies in one of twenty places
/// that such a defect leaves bare, within `bare_mm`, and half as many points as the scan has of the
/// least area make no patch, or are no denser than strays anywhere by chance. (A notch of 2 × 2 mm
/// through a rim, five points to the least area and 10 % of strays, passed when that many counted
/// whole.)
/// @param fewest  points that make a patch
[[nodiscard]] bool may_hide(const AmongStrays& among, double bare_mm, int fewest);

/// Takes away patches that are no denser than strays are by chance, where a third of the points of
/// the least area would be, for walls are seen aslant. Elsewhere chance and defect look alike, and
/// all stay: such a scan is undecided. All stay where there are no strays, too.
///
/// A patch is denser where about one of its points, within a radius of seven from `reach_mm` down
/// to a fifth of it, so many others of it lie as strays strewn evenly, a Poisson process, do not
/// have about any of `count` points in more than one of twenty scans, over all points and radii.
/// @param points_mm  3 × #P, all that the patches have their members of
/// @param reach_mm   how far members may lie from each other to be joined
void drop_chance(std::vector<PointPatch>& patches, const Eigen::Matrix3Xd& points_mm,
                 double reach_mm, const AmongStrays& among);

}  // namespace trammel
