#pragma once

/// Tidying and aligning in the frame that the scan has by itself (geometry/own_frame.hpp), so that
/// a scan that is moved, turned or written in another order gets the same sheet, but for rounding.

#include <Eigen/Geometry>

#include "trammel/inspect.hpp"

namespace trammel {

/// As `place` (inspect.hpp) has it, but all of it, scan and poses, for the scan in its own frame.
struct PlacedInOwnFrame {
  Placed placed;
  Eigen::Isometry3d T_own_scan;  ///< mm; identity where the plan holds the part as scanned
};

/// @param raw  as read, in the file's own unit
[[nodiscard]] PlacedInOwnFrame place_in_own_frame(Scan raw, const SurfaceIndex& design,
                                                  const Plan& plan);

/// Back to the frame of the file: the scan, and every pose that is told of it.
void set_back(Scan& scan, Alignment& alignment, const Eigen::Isometry3d& T_own_scan);

}  // namespace trammel
