#pragma once

/// Tidying and aligning in the frame that the scan has by itself (geometry/own_frame.hpp), so that
/// a scan that is moved, turned or written in another order gets the same sheet, but for rounding.

#include <Eigen/Geometry>
#include <optional>
#include <vector>

#include "trammel/inspect.hpp"
#include "trammel/read/choose_units.hpp"
#include "trammel/tidy/tidy.hpp"

namespace trammel {

/// As `place` (inspect.hpp) has it, but all of it, scan and poses, for the scan in its own frame.
struct PlacedInOwnFrame {
  Placed placed;
  Eigen::Isometry3d T_own_scan;  ///< mm; identity where the plan holds the part as scanned
};

/// A scan in its own frame, as far as it can be made ready before anything is laid on the design.
struct ScanInOwnFrame {
  Eigen::Isometry3d T_own_file;   ///< in the file's unit
  std::vector<UnitChoice> units;  ///< likeliest first
  Tidied tidied;                  ///< in the first of them
  Scan raw;                       ///< in the file's unit; empty where one unit alone is plausible
};

/// @param raw  as read, in the file's own unit
[[nodiscard]] ScanInOwnFrame in_own_frame(Scan raw, const Mesh& design, const Plan& plan);

/// @param lies_on  the design, or what of it can be seen from outside
[[nodiscard]] PlacedInOwnFrame place_in_own_frame(ScanInOwnFrame scan, const SurfaceIndex& lies_on,
                                                  const Plan& plan);

/// What of a design can be seen from outside; nothing where all can.
/// @param uncut  see geometry/seen_from_outside.hpp
[[nodiscard]] std::optional<SurfaceIndex> outside_of(const Mesh& design,
                                                     const SurfaceCells* uncut = nullptr);

/// Back to the frame of the file: the scan, and every pose that is told of it.
void set_back(Scan& scan, Alignment& alignment, const Eigen::Isometry3d& T_own_scan);

}  // namespace trammel
