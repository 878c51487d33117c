#pragma once

/// Best fit: from no idea where the scan lies to the pose in which most of it lies on the design.

#include "trammel/align/align_settings.hpp"
#include "trammel/align/rivals.hpp"
#include "trammel/model/alignment.hpp"

namespace trammel {

/// The coarse search and the contest of its poses, with a wider kernel where the part is off
/// everywhere, and a harder search where little of the scan is explained.
/// @param also  poses that are worth a try besides those of the search
[[nodiscard]] Contest find_best_pose(const FineStage& stage,
                                     const std::vector<Eigen::Isometry3d>& also = {});

/// Where a good part of the surface lies near the design and not on it, what lies on it must agree:
/// a doubt where two standard errors move a corner by more than 1/1000 of the diagonal. A bent leg
/// crosses the design in strips, and a turn of the whole part may gain more by strips than it loses
/// on the good base; each strip then pulls another way. Not asked of parts that are off everywhere.
void doubt_torn_fit(Alignment& alignment, const FineStage& stage, const Contest& contest);

/// The winner with its doubts. With zones `on` or `off` it is then fitted once more, to the points
/// alone whose place on the design lies in one of `on` and in none of `off`; which pose is meant is
/// told by all points, where exactly the part lies by these.
[[nodiscard]] Alignment best_fit(const FineStage& stage, const AlignSettings& settings);

}  // namespace trammel
