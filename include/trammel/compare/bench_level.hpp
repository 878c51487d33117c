#pragma once

/// Readings of the bench that a part stands on, taken for a face of the part that goes on.

#include "trammel/compare/missing_features.hpp"

namespace trammel {

/// The bench is one surface with the underside of a part, and a scan without normals does not tell
/// that it looks the other way: the underside seems to go on over its edge, and the edge to be
/// proud by as far as distances are read. Patches of readings taken over an edge are Beside where
/// all of this holds:
/// - they run on beyond the reach, or no face was scanned before the edge that could go on over it
///   (a bench that is seen through a hole runs on nowhere);
/// - the part's end was scanned where it is drawn, beneath the edge, so that the part stops there:
///   but for this a sheet cut too long and scanned from one side alone looks like a bench;
/// - behind most of their points nothing looks the other way, as a longer sheet's other side would.
/// @param scanned   of all points; normals that were estimated
/// @param level_mm  less than this over an edge is no patch
void set_aside_bench(const ScannedSurface& scanned, double level_mm, Deviations& deviations);

}  // namespace trammel
