#pragma once

/// Which side of the level plane is up: a floor carries the rest, a roof lies on it.

#include <Eigen/Core>
#include <optional>
#include <string>

#include "trammel/model/scan.hpp"
#include "trammel/model/squared.hpp"
#include "trammel/square/patches.hpp"

namespace trammel {

struct WayUp {
  bool known = false;
  bool turned = false;  ///< up is against the plane's normal
  std::string doubt;    ///< what is not known, empty when it is
};

/// - `above_mm`, where it is given, lies above.
/// - The scan's own normals tell a floor, whose face looks to the rest, from a roof or an
/// underside,
///   which look away from it. Of these two a thing seen from above shows the roof: added up over
///   the whole scan its normals point up, where those of a surface seen all round cancel out.
/// - Without normals a floor is known by reaching out beyond what stands on it on all sides.
/// Where none of these tells, up is to the rest, and not known.
/// @param level  its normal points to the side where more of the scan lies (level_plane)
/// @param scan   the one that the patches are of, mm
[[nodiscard]] WayUp way_up(const FoundPlane& level, const Patches& patches, const Scan& scan,
                           const PointIndex& index, const std::optional<Eigen::Vector3d>& above_mm);

}  // namespace trammel
