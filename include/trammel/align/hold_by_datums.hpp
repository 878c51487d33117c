#pragma once

/// The part held by faces and holes, 3-2-1 [ISO 5459, from memory].

#include "trammel/align/align_settings.hpp"
#include "trammel/align/rivals.hpp"
#include "trammel/base/random.hpp"
#include "trammel/model/alignment.hpp"
#include "trammel/model/scan.hpp"

namespace trammel {

/// Best fit first, to know which points belong to which face. Then the datums in their order, each
/// moved onto its place in the design by the motions that those before it have left free:
/// - a flat face takes two turns and a shift as A, one turn and one shift as B, a shift as C. It is
///   taken by the medians of its patches (datum_features.hpp), as the plane that touches the
///   highest of them from outside (tangent_fit.hpp) or as the least-squares plane. After a hole
///   that holds its distance already, its direction alone counts;
/// - a round hole takes two shifts, or what is left of them, by the place of its axis at mid depth.
///   Its direction is not used: walls are too short to tell it.
///
/// Undecided, with a doubt and the pose of the best fit, where a datum is not in the design, less
/// of a face was seen than `least_seen`, a hole cannot be measured, or the three leave a motion
/// free.
///
/// Standard error: that of the patches' medians, through each datum's equations and those before
/// it. Of an outer plane the touching patches are the highest of many: their variance counts
/// 1 + 2 ln(number of patches) times.
[[nodiscard]] Alignment hold_by_datums(const Scan& scan, const FineStage& stage,
                                       const AlignSettings& settings, const Rng& rng);

}  // namespace trammel
