#pragma once

/// Readings of what stands behind a wall, taken for the wall's far face.

#include "trammel/compare/missing_features.hpp"
#include "trammel/compare/settle_readings.hpp"

namespace trammel {

/// A bench under a tube, or under an arch, looks the way the tube's inner face does, and lies
/// beyond its outer face. Read from the inner face it is shy by more than the wall is thick. So is
/// a sheet that was pushed through its own thickness; but that one is joined, point by point, to
/// the part of its face that was pushed less, while a bench runs on into what belongs to no face.
/// Patches of readings past a nearer face that lie beside such points, and nowhere beside their own
/// face, are Beside.
/// @param scanned  of all points
/// @param doubts   nearer_mm tells which readings lie past a nearer face, and on which side of it
/// @param level_mm  a point is beyond the nearer face, or as good as on it, from −level_mm on
void set_aside_beyond_walls(const ScannedSurface& scanned, const SurfaceIndex& design,
                            const ReadingDoubts& doubts, double level_mm, Deviations& deviations);

}  // namespace trammel
