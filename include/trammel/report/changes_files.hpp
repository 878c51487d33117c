#pragma once

/// The files for programs that a comparison of two scans leaves.

#include <string>

#include "trammel/model/changes.hpp"
#include "trammel/report/colours.hpp"

namespace trammel {

/// result.json (DESIGN.md §8), byte for byte the same for the same inputs.
[[nodiscard]] std::string changes_json(const Changes& changes);

/// changes.csv: one line a change.
[[nodiscard]] std::string changes_csv(const Changes& changes);

/// changed.ply: the core points of the old scan, then those only the new one shows, in the old
/// frame, mm; normal, red/green/blue, float scalars `change` and `detectable` (NaN where not
/// measured) and a uchar `seen`: 0 in both, 1 only old, 2 only new.
[[nodiscard]] std::string changed_ply(const Changes& changes);

/// The colour of a core point: steps of `least`; second ink where unsure, none where not measured.
[[nodiscard]] Rgb change_colour(const Changes& changes, Eigen::Index core);

}  // namespace trammel
