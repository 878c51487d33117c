#pragma once

/// The part held by pairs of points that somebody picked.

#include "trammel/align/align_settings.hpp"
#include "trammel/align/rivals.hpp"
#include "trammel/model/alignment.hpp"

namespace trammel {

/// Unrefined, the pose of the pairs is taken as it is; its standard error is that of the pairs.
///
/// Refined, best fit looks for poses as ever, the one of the pairs among its starts. Of the poses
/// that fit equally well those count that agree with the pairs: no farther from them (rms) than the
/// pairs could be wrong, which is the farther of their own disagreement (95 %) and 1/500 of the
/// design's diagonal. So pairs settle which of the turns of a symmetric part is meant. Where no
/// pose that fits best agrees, the surface fitted from the pairs' own pose is taken, with a doubt.
///
/// Pairs that disagree by more than max(1 mm, 1 % of the diagonal) hold nothing: not found.
[[nodiscard]] Alignment hold_by_pairs(const FineStage& stage, const AlignSettings& settings);

}  // namespace trammel
