#pragma once

/// Where a small part may lie in a large scan: a bracket on a vehicle is a twentieth of its points.
///
/// The ordinary search asks how much of the scan a pose explains; of a large scan even the right
/// one explains little. Here the scan is gone through place by place, and a pose counts by how much
/// of the *design* is found there.

#include <Eigen/Geometry>
#include <vector>

#include "trammel/align/coarse_search.hpp"
#include "trammel/model/scan.hpp"

namespace trammel {

/// Rough poses all over the scan, best first, each farther than a hundredth of the diagonal from
/// any better one: `score` is the share of the design's surface that the scan has there, times the
/// share of the scan within the design's box there that the design has.
///
/// The scan is thinned so that a part seen from one side keeps some 900 points. About points a
/// third of the diagonal apart, pairs of oriented points within the part's reach vote for poses
/// (pair_votes.hpp); the best are improved like those of the ordinary search.
[[nodiscard]] std::vector<RoughPose> search_scene(const Scan& scan, const CoarseDesign& design,
                                                  std::size_t most_poses = 40);

/// The points in the design's box, grown by `margin_mm` to each side; normals come along.
[[nodiscard]] Scan cut_out(const Scan& scan, const Eigen::Isometry3d& T_design_scan, const Box& box,
                           double margin_mm);

}  // namespace trammel
