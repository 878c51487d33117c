#pragma once

/// Comparing and judging with the part in one pose, and, where a symmetric part may lie in several,
/// in each of them.

#include <Eigen/Geometry>
#include <vector>

#include "trammel/base/random.hpp"
#include "trammel/compare/prove_readings.hpp"
#include "trammel/judge/grips.hpp"
#include "trammel/judge/judge.hpp"

namespace trammel {

/// One stream a stage is drawn from it.
constexpr std::uint64_t kSeed = 20;

/// Readings are pooled over discs four fifths as wide as the smallest patch: a median over one
/// follows a patch of that size.
[[nodiscard]] double pooling_radius_mm(const Plan& plan);

/// What the scan says with the part in one pose.
struct ReadInPose {
  Eigen::Matrix3Xd normals;  ///< 3 × #P, design frame, towards the outside of the design
  Deviations deviations;
  Proof proof;
  std::vector<Grip> grips;  ///< set aside in `deviations`
  CellReadings readings;
};

/// What reading and judging need besides the pose.
struct PoseJudge {
  const Plan& plan;
  const SurfaceIndex& index;  ///< of the design
  const MeshHealth& health;
  const CellTree& tree;
  const FoundHoles& holes;
  const FoundSlots& slots;
  const FlatFaces& faces;  ///< of the design
  const Scan& scan;        ///< tidied, mm, scan frame
  const UnitChoice& units;
  const TidyCounts& tidy;
  const std::vector<Mate>& mates;

  [[nodiscard]] ReadInPose read_at(const Eigen::Isometry3d& T_design_scan,
                                   const ProofSettings& proof = {}) const;
  [[nodiscard]] Judgement judge_as(const ReadInPose& read, const Alignment& alignment) const;

  /// In the pose of the alignment and, where it is one of several that are all known, in the others
  /// until one disagrees (judge/every_pose.hpp).
  /// @param best  what the scan says in that pose
  [[nodiscard]] Judgement judge_in_each(const ReadInPose& best, const Alignment& alignment) const;
};

}  // namespace trammel
