#pragma once

/// Scan points that lie beyond their limit, each by its own reading, where no region says so.

#include <Eigen/Core>
#include <string>
#include <vector>

#include "trammel/judge/point_patches.hpp"
#include "trammel/model/deviations.hpp"
#include "trammel/model/plan.hpp"
#include "trammel/model/surface_map.hpp"
#include "trammel/model/verdict.hpp"

namespace trammel {

/// A burr that is thinner than the scan's cells is never a region: the median of the readings about
/// it is that of the face it stands on. Its points are there all the same. They are joined where
/// they lie within the side of the least area (or 2.5 spacings, where that is more) of each other,
/// proud and shy apart; eight or more make a patch when, by the share of the surface that a point
/// stands for, they cover the least area or more.
/// A point counts that lies beyond its limit by more than U, and than four times the noise.
/// @param points_mm   3 × #P, design frame
/// @param spacing_mm  of the scan
/// @return most points first
[[nodiscard]] std::vector<PointPatch> points_beyond(const Plan& plan, const SurfaceCells& cells,
                                                    const CellReadings& readings,
                                                    const Deviations& deviations,
                                                    const Eigen::Matrix3Xd& points_mm,
                                                    const UncertaintyBudget& uncertainty,
                                                    double spacing_mm);

/// Why they keep a part from passing, two at most.
[[nodiscard]] std::vector<std::string> why_beyond(const std::vector<PointPatch>& patches);

}  // namespace trammel
