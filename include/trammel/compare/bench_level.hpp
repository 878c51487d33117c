#pragma once

/// Readings of the bench that a part stands on, taken for a face of the part that goes on.

#include "trammel/compare/missing_features.hpp"

namespace trammel {

/// Where the underside of a part was scanned as well, the bench is one surface with it, and a scan
/// without normals does not tell that the bench looks the other way: the underside seems to go on
/// over its edge, and the edge to be proud by as far as distances are read. A sheet that is cut too
/// long ends, or has its other side: patches of readings taken over an edge that run on beyond the
/// reach, with nothing behind most of their points that looks the other way, are Beside. Seen from
/// below alone such a sheet would be taken for a bench; but then so little of the part was seen
/// that it cannot pass.
/// @param scanned   of all points; normals that were estimated
/// @param level_mm  less than this over an edge is no patch
void set_aside_bench(const ScannedSurface& scanned, double level_mm, Deviations& deviations);

}  // namespace trammel
