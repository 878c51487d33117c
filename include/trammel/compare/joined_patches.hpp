#pragma once

/// Patches of scan points that one surface joins, and what lies beside them.

#include <Eigen/Core>
#include <functional>
#include <vector>

#include "trammel/compare/missing_features.hpp"

namespace trammel {

/// Scan points within twice `near_mm` that lie on one surface with the point: normals turned less
/// than 37° from each other, and the step no steeper than 17° off either plane.
[[nodiscard]] std::vector<Eigen::Index> joined_on_surface(const ScannedSurface& scanned,
                                                          Eigen::Index point);

struct JoinedPatch {
  std::vector<Eigen::Index> members;
  std::vector<Eigen::Index> beside;  ///< joined to a member, and none; each once
};

/// Every member of the patches that are chosen, ascending.
/// @param is_member  of a patch; asked of each scan point
/// @param is_chosen  asked of each patch once
[[nodiscard]] std::vector<Eigen::Index> points_of_patches(
    const ScannedSurface& scanned, const std::function<bool(Eigen::Index)>& is_member,
    const std::function<bool(const JoinedPatch&)>& is_chosen);

/// Readings of the points become Beside, without a distance.
void set_beside(const std::vector<Eigen::Index>& points, Deviations& deviations);

}  // namespace trammel
