#pragma once

/// The stage: what changed between two scans that lie on each other, and what cannot be known.

#include "trammel/model/changes.hpp"
#include "trammel/model/scan.hpp"

namespace trammel {

/// Fills scales, cores, changes, coverage, outcome and reasons.
///
/// Changed: at least one change, or one that no reading tells (enclosed_surfaces.hpp), and a sure
/// pose. Unchanged: no change, a sure pose, enough of the old surface seen again
/// (`least_coverage`), at most `most_unsure_share` of it unsure, no unsure patch of the least area
/// that reads beyond `least_mm`, and no place that one scan alone shows and that the other did not
/// merely miss (open_places.hpp, lone_surfaces.hpp). Everything else is undecided.
/// @param old_scan, new_scan  tidied, mm, each in its own frame
/// @param fit                 of the new on the old
[[nodiscard]] Changes measure_changes(const Scan& old_scan, const Scan& new_scan,
                                      const ScanFit& fit, const ChangesSettings& settings);

}  // namespace trammel
