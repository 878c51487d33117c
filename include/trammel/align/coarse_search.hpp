#pragma once

/// The rough half of aligning: from no idea at all to a few poses worth refining.

#include <Eigen/Geometry>
#include <optional>
#include <vector>

#include "trammel/align/facing_field.hpp"
#include "trammel/align/rough_fit.hpp"
#include "trammel/align/scan_sample.hpp"
#include "trammel/base/random.hpp"
#include "trammel/model/alignment.hpp"
#include "trammel/model/mesh.hpp"

namespace trammel {

/// What the search needs to know of the design; made once.
struct CoarseDesign {
  CoarseDesign(const Mesh& mesh, const Rng& rng);
  CoarseDesign(const CoarseDesign&) = delete;
  CoarseDesign& operator=(const CoarseDesign&) = delete;

  Box box;
  double diagonal_mm;
  double area_mm2;        ///< of the whole surface
  SurfaceSamples dense;   ///< for the field
  SurfaceSamples sparse;  ///< for pairs of points
  FacingField field;
  std::optional<RoundAxis> round;  ///< where the design is round: poses a turn apart are one
};

/// How many guesses are followed.
struct CoarseSearchSettings {
  Eigen::Index reference_points = 60;  ///< of the scan, whose pairs vote for poses
  std::size_t pair_guesses = 120;      ///< followed of those
  std::size_t rotation_guesses = 160;  ///< followed of those from rotations
  std::size_t most_poses = 12;         ///< handed on
};

/// Poses that differ by more than a hundredth of the diagonal, best first.
///
/// First guesses come from pairs of oriented points, and from rotations spread over SO(3), each
/// with translations that need no correspondence. All are scored; the best are improved and scored
/// again with more points and a finer tolerance, twice.
[[nodiscard]] std::vector<RoughPose> coarse_search(const ScanSample& scan,
                                                   const CoarseDesign& design,
                                                   const CoarseSearchSettings& settings = {});

/// Improves given poses like the last step of the search does. One result a pose, in its order.
[[nodiscard]] std::vector<RoughPose> improve_rough(const ScanSample& scan,
                                                   const CoarseDesign& design,
                                                   const std::vector<Eigen::Isometry3d>& poses);

/// The best poses that lie farther than `apart_mm` from any better one, best first.
/// @param round  pose_distance_mm (round_design.hpp)
[[nodiscard]] std::vector<RoughPose> best_distinct(std::vector<RoughPose> poses, const Box& box,
                                                   double apart_mm, std::size_t most,
                                                   const std::optional<RoundAxis>& round = {});

}  // namespace trammel
