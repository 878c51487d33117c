#pragma once

/// Deviation at the corners of the cells, so that pictures change smoothly inside a face.

#include <Eigen/Core>

#include "trammel/model/surface_map.hpp"

namespace trammel {

/// A plane fitted to the seen cells around each corner that face within 45° of the corner's own
/// cell (so that the irregular pattern of cells does not show), their mean where they are few:
/// colours run on over a curved face and break at a sharp edge, as the readings do.
/// @return 3 × #C, mm; NaN for cells without a reading
[[nodiscard]] Eigen::Matrix3Xd corner_deviations(const SurfaceMap& surface);

}  // namespace trammel
