#pragma once

/// Finds the rigid motion that puts a new scan on an old one of the same thing, by what both show
/// and what did not change; and says when it cannot.

#include "trammel/base/random.hpp"
#include "trammel/model/changes.hpp"
#include "trammel/model/scan.hpp"

namespace trammel {

struct AlignScansSettings {
  double least_overlap = 0.3;  ///< of the smaller scan; a pose that explains less is not believed
};

/// The larger of the two becomes a surface of small planes (geometry/surfels.hpp), the smaller is
/// aligned on it as on a design: poses from pairs of oriented points and from rotations, each
/// refined by robust point-to-plane ICP (Tukey's biweight: what changed falls out), verified by
/// overlap, and set against every other that explains as much.
/// @param old_scan, new_scan  tidied, mm, each in its own frame; normals unit, or none
/// @return  `alignment.overlap` is the share of the smaller scan. The caller must look at `found`,
///          `converged`, `ambiguous`, `free_directions` and `doubts`.
[[nodiscard]] ScanFit align_scans(const Scan& old_scan, const Scan& new_scan,
                                  const AlignScansSettings& settings, const Rng& rng);

}  // namespace trammel
