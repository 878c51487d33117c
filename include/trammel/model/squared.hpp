#pragma once

/// A raw scan set square to its axes: from what, and how surely.

#include <Eigen/Core>
#include <Eigen/Geometry>
#include <string>
#include <vector>

#include "trammel/base/run_info.hpp"
#include "trammel/model/scan.hpp"

namespace trammel {

/// A plane normal · p = offset, in the scan's frame, mm; and how far it may be believed.
struct FoundPlane {
  bool found = false;  ///< false: what was seen is too weak; nothing may be built on it
  Eigen::Vector3d normal = Eigen::Vector3d::UnitZ();  ///< unit
  double offset_mm = 0.0;
  double share = 0.0;               ///< of the surface that lies on it, or has its mirror image
  double rival = 0.0;               ///< the same for the best plane clearly elsewhere
  double rms_mm = 0.0;              ///< of the residuals that count
  double standard_error_rad = 0.0;  ///< 1 σ of its normal, in its worst direction
  std::string from;                 ///< "largest flat face", "picked face", "mirror images", …
  std::string doubt;                ///< why it was not found; empty when it was
};

struct Squared {
  RunInfo run;
  std::string file, sha256;
  UnitChoice units;
  /// p_square = T_square_scan · p_scan, mm: Z up, X forward, Y left.
  Eigen::Isometry3d T_square_scan = Eigen::Isometry3d::Identity();
  FoundPlane level;                ///< its normal becomes +Z
  FoundPlane symmetry;             ///< its normal becomes ±Y
  double forward_error_rad = 0.0;  ///< 1 σ of the forward direction in the level plane
  std::string forward_from, origin_from;
  bool certain = false;        ///< both directions are known, which end is the front included
  Eigen::Matrix3Xd sample_mm;  ///< 3 × #S of the scan, for the picture, squared
  Eigen::Matrix3Xd sample_normals;
  std::vector<std::string> notes;  ///< what could not be known and what to do, one sentence each
};

}  // namespace trammel
