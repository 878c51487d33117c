#pragma once

/// Where the scan lies on the design, with everything needed to doubt it.

#include <Eigen/Core>
#include <Eigen/Geometry>
#include <optional>
#include <string>
#include <vector>

namespace trammel {

using Matrix6d = Eigen::Matrix<double, 6, 6>;

/// Another pose that fits as well as the chosen one.
struct OtherPose {
  Eigen::Isometry3d T_design_scan = Eigen::Isometry3d::Identity();
  double rms_mm = 0.0;
  double overlap = 0.0;
  std::string words;  ///< the motion between the two, "turned 180° about the part's longest axis"
};

/// A design round about an axis: how far the part is turned about it no scan tells
/// (align/round_design.hpp).
struct RoundAxis {
  Eigen::Vector3d at_mm = Eigen::Vector3d::Zero();  ///< a point of the axis, design frame
  Eigen::Vector3d axis = Eigen::Vector3d::UnitZ();  ///< unit
  double off_mm = 0.0;  ///< most that a turn about it moves the surface off itself: its facets
};

/// Best scale of the scan against the design, were it free; a diagnosis, never applied.
struct ScaleEstimate {
  double uniform = 1.0;
  double standard_error = 0.0;  ///< 1 σ; 0 when not estimated
  /// The same along each axis of the design, were each free by itself.
  Eigen::Vector3d axes = Eigen::Vector3d::Ones();
  Eigen::Vector3d axes_standard_error = Eigen::Vector3d::Zero();  ///< 1 σ; 0 when not estimated
};

/// How well one of the plan's pairs agrees with a pose: distances between its design point and its
/// scan point, moved.
struct PairResidual {
  Eigen::Vector3d design_mm = Eigen::Vector3d::Zero();
  Eigen::Vector3d scan_mm = Eigen::Vector3d::Zero();
  double residual_mm = 0.0;  ///< at the pose that the pairs alone give
  double left_mm = 0.0;      ///< at the pose that was taken; the same when it was not refined
};

/// What one datum of the plan did.
struct DatumHold {
  std::string label;
  std::string feature;                              ///< "face" or "hole"; empty when none was found
  Eigen::Vector3d at_mm = Eigen::Vector3d::Zero();  ///< middle of the face or of the hole's axis
  int motions = 0;       ///< of the six that it fixed, after those before it
  double seen = 0.0;     ///< share of the face that was seen, or of the hole's circle
  double form_mm = 0.0;  ///< highest less lowest patch of the face, from the datum plane
  int touching = 0;      ///< patches that an outer plane rests on
};

struct Alignment {
  Eigen::Isometry3d T_design_scan = Eigen::Isometry3d::Identity();  ///< p_design = T · p_scan, mm
  std::string method;    ///< as the plan spells it: model/plan.hpp, method_name
  std::string held_by;   ///< the same in words, "best fit to all it saw"
  double rms_mm = 0.0;   ///< of the distances to the design of the points that lie on it
  double overlap = 0.0;  ///< share of the scan's points that lie on the design, 0 … 1
  int iterations = 0;
  bool converged = false;
  bool found = false;  ///< false: no pose could be verified; nothing after it may pass
  bool loose = false;  ///< found, but in a free direction it may lie anywhere: a flat sheet seen
                       ///< from straight above. It settles no unit
  bool ambiguous = false;  ///< other poses fit as well
  std::vector<OtherPose> others;
  bool others_complete = false;  ///< each of `others` lays a symmetric design on itself, and no
                                 ///< turn that does is left out (align/design_turns.hpp)
  Matrix6d information = Matrix6d::Zero();  ///< of (rotation about the centroid, translation), 1/σ²
  Matrix6d covariance = Matrix6d::Zero();  ///< of the same motion, and what is believed of it
  Eigen::Vector3d center_mm = Eigen::Vector3d::Zero();  ///< that centroid, design frame
  double standard_error_mm = 0.0;  ///< 1 σ, largest at the corners of the design's box
  bool torn = false;  ///< bent or bowed, it may lie on any of its stretches; told in `doubts` too
  double held_error_mm = 0.0;  ///< the same without `free_directions`, where there are any
  std::vector<std::string>
      free_directions;             ///< motions that the seen surface does not hold, in words
  std::optional<RoundAxis> round;  ///< the turn about it is not known, and is no doubt by itself
  ScaleEstimate scale;
  std::vector<PairResidual> pairs;  ///< in the plan's order
  std::vector<DatumHold> datums;    ///< in the order they were taken
  std::vector<std::string> doubts;  ///< why it may not be trusted; empty when it may

  /// Found, at rest, the only one, with nothing free and nothing in doubt.
  [[nodiscard]] bool is_sure() const { return !ambiguous && is_sure_but_for_turns(); }

  /// The part lies in this pose or in one of `others` beyond doubt; which of them is not known.
  [[nodiscard]] bool is_one_of_several() const {
    return ambiguous && others_complete && !others.empty() && is_sure_but_for_turns();
  }

 private:
  [[nodiscard]] bool is_sure_but_for_turns() const {
    return found && converged && free_directions.empty() && doubts.empty();
  }
};

}  // namespace trammel
