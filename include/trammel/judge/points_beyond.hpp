#pragma once

/// Scan points that lie beyond their limit, each by its own reading, where no region says so.

#include <Eigen/Core>
#include <string>
#include <vector>

#include "trammel/geometry/surface_index.hpp"
#include "trammel/judge/point_patches.hpp"
#include "trammel/model/deviations.hpp"
#include "trammel/model/plan.hpp"
#include "trammel/model/surface_map.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// What was read, and against what.
struct ReadPoints {
  const Plan& plan;
  const SurfaceIndex& design;
  const SurfaceCells& cells;
  const CellReadings& readings;
  const Deviations& deviations;
  const Eigen::Matrix3Xd& points_mm;  ///< 3 × #P, design frame
  const UncertaintyBudget& uncertainty;
  double spacing_mm;      ///< of the scan
  double strays_per_mm3;  ///< 0 or more, of strays.hpp
};

/// A burr that is thinner than the scan's cells is never a region: the median of the readings about
/// it is that of the face it stands on. Its points are there all the same. They are joined where
/// they lie within the side of the least area (or 2.5 spacings, where that is more) of each other,
/// proud and shy apart; eight or more make a patch when, by the share of the surface that a point
/// stands for, they cover the least area or more. They must be denser than strays where that can be
/// told (strays.hpp).
///
/// A point counts that lies beyond its limit by more than U, and than four times the noise. Four at
/// least must have been read; to so many belong those beside the part and strays that lie as far
/// off, for half of a thin burr is of no face and shares its distance with no neighbour. Not where
/// surface too far to be the part's lies as near: that is how a bench or a clamp runs on.
/// @return most points first
[[nodiscard]] std::vector<PointPatch> points_beyond(const ReadPoints& read);

/// Why they keep a part from passing, two at most.
[[nodiscard]] std::vector<std::string> why_beyond(const std::vector<PointPatch>& patches);

}  // namespace trammel
