#pragma once

/// The holes, pins and slots that a plan names, as a viewer sees them: where their openings lie on
/// the design's surface, and where they were found.

#include <array>
#include <vector>

#include "trammel/model/surface_rays.hpp"
#include "trammel/model/verdict.hpp"
#include "trammel/report/findings.hpp"
#include "trammel/report/view.hpp"

namespace trammel {

/// The outline of an opening.
struct Ring {
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();
  Eigen::Vector3d axis = Eigen::Vector3d::UnitZ();  ///< unit
  double radius_mm = 0.0;
  /// Of a slot: from its middle to the centre of one of its ends; of a round hole zero.
  Eigen::Vector3d half_straight_mm = Eigen::Vector3d::Zero();
};

/// As it is drawn in the pictures.
struct Opening {
  Subject subject = Subject::Hole;  ///< or Slot
  std::size_t index = 0;            ///< into verdict.holes or verdict.slots
  Outcome outcome = Outcome::Undecided;
  std::array<Ring, 2> drawn;  ///< by the design, on the +axis side and on the −axis side
  std::array<Ring, 2> found;  ///< where and as wide as it was measured; as drawn where it was not
  bool measured = false;
  double probe_share = 1.0;  ///< of the radius: where the face beside the rim is looked for
};

/// All holes and pins of the verdict, then all slots. Rims of holes and slots are found by rays
/// just outside the wall, along the axis, to where they leave the material; those of a pin are its
/// ends.
[[nodiscard]] std::vector<Opening> openings_of(const Verdict& verdict, const SurfaceRays& rays);

/// Place of a finding's opening among `openings_of`; the finding is about a hole or a slot.
[[nodiscard]] std::size_t opening_at(const Verdict& verdict, const Finding& finding);

/// The side that looks towards the viewer: 0 or 1.
[[nodiscard]] std::size_t facing_side(const Opening& opening, const View& view);

/// Share of the facing rim that the viewer sees, 0 … 1.
[[nodiscard]] double visible_share(const Opening& opening, const View& view,
                                   const SurfaceRays& rays);

/// Points round it, mm; 3 × 48.
[[nodiscard]] Eigen::Matrix3Xd ring_points(const Ring& ring);

/// Of each of the `ring_points` of the facing rim as drawn, whether the viewer sees it.
[[nodiscard]] std::vector<bool> seen_ring_points(const Opening& opening, const View& view,
                                                 const SurfaceRays& rays);

}  // namespace trammel
