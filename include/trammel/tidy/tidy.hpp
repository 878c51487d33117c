#pragma once

/// Takes away what cannot be surface: not-finite points, exact repeats, lone strays.
///
/// A stray is a point whose neighbours are much farther away than those of the surface around:
/// never a patch of points, so that no real defect is taken away. Small clusters off the part stay
/// in; the comparison sets them aside by distance and facing, and counts them.
///
/// What is left comes in the order of a curve through space (geometry/curve_order.hpp), which has
/// nothing to do with the order in the file. Of a scan far denser than anything that is judged
/// needs, one point of each small cell is kept, chosen by lot of its place, so that it has the
/// noise that the scan has; where the scan is sparse, every point is.

#include "trammel/geometry/thin_points.hpp"
#include "trammel/model/scan.hpp"

namespace trammel {

struct TidySettings {
  int neighbours = 6;  ///< the distance to this neighbour counts
  /// A stray's is so many times the usual: the scan's median, of a dense scan the edge of a cell.
  double lone_factor = 5.0;
  Thinning thinning;  ///< when a scan is denser than need be; off unless asked for
};

struct Tidied {
  Scan scan;
  TidyCounts counts;
};

/// @throws Error Input when fewer than 3 points are left
[[nodiscard]] Tidied tidy(const Scan& scan, const TidySettings& settings = {});

}  // namespace trammel
