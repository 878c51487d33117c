#pragma once

/// The exact half of the search: rough poses refined on the true surface, and the best of them set
/// against every other that could be meant.

#include <Eigen/Geometry>
#include <vector>

#include "trammel/align/coarse_search.hpp"
#include "trammel/align/pose_evidence.hpp"
#include "trammel/align/scan_sample.hpp"
#include "trammel/align/surface_fit.hpp"
#include "trammel/geometry/surface_index.hpp"

namespace trammel {

struct Rival {
  SurfaceFit fit;
  PoseEvidence evidence;
};

/// What refining needs, side by side.
struct FineStage {
  const ScanSample& scan;
  const SurfaceIndex& design;
  const CoarseDesign& coarse;
  double noise_mm;        ///< of the scan; at most a tenth of the wall, as local planes of a sparse
                          ///< scan run through both faces of thin sheet
  double least_sigma_mm;  ///< kernels and tolerances are never narrower
  double apart_mm;        ///< poses are different when they lie farther apart (`distance_mm`)
  double least_lead;      ///< share of the points by which a pose must lead to be better

  /// @param least_sigma_share  of the diagonal. Wide for a misshapen part: were the kernel narrow,
  /// it
  ///        would settle on whichever faces agree by chance
  FineStage(const ScanSample& scan, const SurfaceIndex& design, const CoarseDesign& coarse,
            double least_sigma_share = 1e-5);

  /// A point counts as explained within 4 σ, but never less than 1/500 of the diagonal: what
  /// differs by less (facets of a round hole) tells no pose from another.
  [[nodiscard]] double tolerance_mm(double sigma_mm) const;
  /// pose_distance_mm (round_design.hpp) on this design.
  [[nodiscard]] double distance_mm(const Eigen::Isometry3d& a, const Eigen::Isometry3d& b) const;
  /// Refines on the first `points` of the sample, from a kernel of `first_sigma_mm` down, until no
  /// corner moves farther than a share of the diagonal.
  [[nodiscard]] SurfaceFit refine(const Eigen::Isometry3d& start, Eigen::Index points,
                                  double first_sigma_mm, double stop_share = 1e-5) const;
  [[nodiscard]] PoseEvidence evidence_of(const Eigen::Isometry3d& pose, Eigen::Index points,
                                         double tolerance_mm) const;
};

/// Thickness of the design's sheet or walls: the lower quartile, over samples, of the distance to
/// the face that looks the other way; infinite when there is none.
[[nodiscard]] double wall_thickness_mm(const SurfaceIndex& design, const SurfaceSamples& samples);

struct Contest {
  Rival winner;
  std::vector<Rival> equals;     ///< that fit as well, best first
  bool more_equals = false;      ///< there may be more: not all could be followed
  bool equals_complete = false;  ///< as complete_equals (design_turns.hpp) has it
  double tolerance_mm = 0.0;     ///< that all were judged by
  bool misshapen = false;        ///< off everywhere: judged with the wide kernel
  double lead = 0.0;  ///< overlap of the winner less that of the best pose clearly elsewhere
};

/// Refines the rough poses and the winner's turned twins (motions.hpp: likely_symmetries), all
/// judged by the same points and tolerance.
///
/// An equal is a pose that lies farther from the winner than max(1 mm, 1 % of the diagonal) at a
/// corner, and that the winner does not beat: McNemar's z below 4, or a lead below `least_lead`.
[[nodiscard]] Contest hold_contest(const FineStage& stage, const std::vector<RoughPose>& rough);

/// Fits a pose to all points until it rests, and judges it by what the contest judged by.
/// @return false when the winner beats it
bool settle_equal(const FineStage& stage, const Contest& contest, Rival& rival);

/// The two poses lie farther apart than `apart_mm` at a corner of the box.
[[nodiscard]] bool is_elsewhere(const FineStage& stage, const Rival& a, const Rival& b);

}  // namespace trammel
