#pragma once

/// Which of many rough poses lays one scan on another, told by how many points it explains to
/// within the noise.

#include <Eigen/Geometry>
#include <vector>

#include "trammel/align/coarse_search.hpp"
#include "trammel/align/pose_evidence.hpp"
#include "trammel/align/scan_sample.hpp"
#include "trammel/align/surface_fit.hpp"
#include "trammel/geometry/surface_index.hpp"

namespace trammel {

struct ScanPose {
  SurfaceFit fit;
  PoseEvidence evidence;
};

/// What the contest works on, side by side.
struct ScanStage {
  const ScanSample& moving;
  const SurfaceIndex& base;  ///< surfels
  const CoarseDesign& coarse;
  double sigma_mm;  ///< 1 σ of the moving points about the surfels at the right pose

  /// A point counts as explained within 4 σ: unlike a design's facets, two scans differ by noise
  /// alone, and where they overlap little a wider tolerance lets one slide along the other.
  [[nodiscard]] double tolerance_mm() const { return 4.0 * sigma_mm; }
};

struct ScanContest {
  ScanPose winner;
  std::vector<ScanPose> equals;  ///< that may be right as well, the most explaining first
};

/// Refines all poses, then the best of them on more points; then starts again beside the best, in
/// both senses of the three motions that the points hold least, so that a fit that was caught by
/// what changed is found out.
///
/// An equal is a pose whose corners of the base's box lie farther from the winner's than 3 σ and
/// 1/2000 of the diagonal, and that
/// - the winner does not beat: McNemar's z below 4, or a lead below 0.3 % of the points; or
/// - is contradicted by no more points than the winner, to 0.3 %, and lays less of the scan on the
///   base by no more than the winner itself leaves lying on nothing.
///
/// For two scans need not overlap by as much as they can: points where the other scan has nothing
/// tell neither for nor against a pose. What contradicts it are points squarely opposite the base,
/// off it by 0.4 % of the diagonal up to 6 %; so the second holds of poses twice as far apart.
[[nodiscard]] ScanContest hold_scan_contest(const ScanStage& stage,
                                            const std::vector<RoughPose>& rough);

}  // namespace trammel
