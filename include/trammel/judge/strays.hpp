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

/// log of the chance that a Poisson variable of this mean is `least` or more.
[[nodiscard]] double log_as_many(int least, double mean);

/// Points that were joined to patches, among strays.
struct Joined {
  const Eigen::Matrix3Xd& points_mm;  ///< 3 × #P, all that the patches have their members of
  std::size_t count = 0;              ///< of those that were joined
  double strays_per_mm3 = 0.0;
  double reach_mm = 0.0;  ///< of a step
};

/// Points, one of them in the middle, that are no chance anywhere in a disc of the least area.
[[nodiscard]] int points_that_stand_out(const Joined& joined, double least_area_mm2);

/// Whether strays may hide a defect of the least area: one of them lies in one of twenty places
/// that such a defect leaves bare, within `bare_mm`, and half as many points as the scan has of the
/// least area make no patch, or do not stand out. (A notch of 2 × 2 mm through a rim, five points
/// to the least area and 10 % of strays, passed when that many counted whole.)
/// @param fewest     points that make a patch
/// @param point_mm2  surface that a scan point stands for
[[nodiscard]] bool may_hide(const Joined& joined, double bare_mm, int fewest, double least_area_mm2,
                            double point_mm2);

/// Whether strays strewn evenly put patches as dense as this one into more than one of twenty
/// scans. It is denser where about one of its points, within a radius of seven from the reach down
/// to a fifth of it, so many others of it lie as a Poisson process does not have about any of
/// the points joined, over all of them and all radii.
[[nodiscard]] bool is_chance(const PointPatch& patch, const Joined& joined);

/// Takes patches away that are chance, where a defect would stand out by a third of its points, for
/// walls are seen aslant. Elsewhere chance and defect
/// look alike, and all stay: such a scan is undecided. All stay where there are no strays, too.
void drop_chance(std::vector<PointPatch>& patches, const Joined& joined, double least_area_mm2,
                 double point_mm2);

}  // namespace trammel
