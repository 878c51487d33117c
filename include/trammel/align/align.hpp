#pragma once

/// Finds the rigid motion that puts the scan on the design, and says when it cannot.
///
/// Coarse candidates (pairs of oriented points, a search over rotations), each refined onto the
/// true design surface by a robust point-to-surface ICP and verified by overlap and facing; from
/// there the part is held as the plan asks: best fit, datums, pairs, or as scanned.
/// Whoever calls it must look at `found`, `converged`, `ambiguous` and `doubts` before believing
/// the pose.

#include "trammel/align/align_settings.hpp"
#include "trammel/base/random.hpp"
#include "trammel/geometry/surface_index.hpp"
#include "trammel/model/alignment.hpp"
#include "trammel/model/scan.hpp"

namespace trammel {

/// @param scan    tidied, mm, scan frame; normals unit, or none
/// @param design  index over the design, mm
/// @param rng     the stage's own stream; the same input gives the same bits on any thread count
[[nodiscard]] Alignment align(const Scan& scan, const SurfaceIndex& design,
                              const AlignSettings& settings, const Rng& rng);

}  // namespace trammel
