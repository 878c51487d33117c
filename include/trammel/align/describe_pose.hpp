#pragma once

/// A pose written into an Alignment with all that speaks for and against it: every method does it
/// the same way.

#include "trammel/align/align_settings.hpp"
#include "trammel/align/freedom.hpp"
#include "trammel/align/rivals.hpp"
#include "trammel/model/alignment.hpp"

namespace trammel {

/// "37 %".
[[nodiscard]] std::string share_words(double share);

/// A given pose as the contest's winner would be: the scatter of the points near the design, and
/// how much of the scan it explains. Not refined.
[[nodiscard]] Rival rival_at(const FineStage& stage, const Eigen::Isometry3d& T_design_scan);

/// How firmly the points of the stage's sample hold the pose.
[[nodiscard]] Freedom freedom_at(const FineStage& stage, const SurfaceFit& fit);

/// Pose, rms, overlap, iterations and whether it came to rest.
void note_pose(Alignment& alignment, const Rival& pose);

/// Information, covariance, standard error, free directions and scale.
void note_freedom(Alignment& alignment, const Freedom& freedom);

/// Poses that fit as well as `winner`, with the motion between the two in words.
void note_equals(Alignment& alignment, const FineStage& stage, const Rival& winner,
                 const std::vector<Rival>& equals);

/// Sets `found`, and adds a doubt where too little of the scan is explained, the part is hardly
/// held (two standard errors beyond the distance at which poses count as different, max(1 mm, 1 %
/// of the diagonal); beyond 2 % of it nothing is found), the fit did not come to rest, or other
/// poses fit as well that may not all be known. What is free does not count as hardly held: it is
/// told by its words, and the pose is loose where it may lie 2 % of the diagonal off by it.
void decide_found(Alignment& alignment, const AlignSettings& settings, double diagonal_mm);

}  // namespace trammel
