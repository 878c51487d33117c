#pragma once

/// Where the scan lies on the design, with everything needed to doubt it.

#include <Eigen/Core>
#include <Eigen/Geometry>
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

/// Best scale of the scan against the design, were it free; a diagnosis, never applied.
struct ScaleEstimate {
  double uniform = 1.0;
  double standard_error = 0.0;  ///< 1 σ; 0 when not estimated
};

struct Alignment {
  Eigen::Isometry3d T_design_scan = Eigen::Isometry3d::Identity();  ///< p_design = T · p_scan, mm
  std::string method;                                               ///< "best-fit" or "as-scanned"
  double rms_mm = 0.0;   ///< of the distances to the design of the points that lie on it
  double overlap = 0.0;  ///< share of the scan's points that lie on the design, 0 … 1
  int iterations = 0;
  bool converged = false;
  bool found = false;      ///< false: no pose could be verified; nothing after it may pass
  bool ambiguous = false;  ///< other poses fit as well
  std::vector<OtherPose> others;
  Matrix6d information = Matrix6d::Zero();  ///< of (rotation about the centroid, translation), 1/σ²
  double standard_error_mm = 0.0;           ///< 1 σ, largest at the corners of the design's box
  std::vector<std::string>
      free_directions;  ///< motions that the seen surface does not hold, in words
  ScaleEstimate scale;
  std::vector<std::string> doubts;  ///< why it may not be trusted; empty when it may
};

}  // namespace trammel
