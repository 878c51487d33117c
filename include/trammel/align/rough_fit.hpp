#pragma once

/// Scoring and improving a rough pose against the field: thousands of times a second.

#include <Eigen/Geometry>

#include "trammel/align/facing_field.hpp"
#include "trammel/align/scan_sample.hpp"

namespace trammel {

struct RoughPose {
  Eigen::Isometry3d T_design_scan = Eigen::Isometry3d::Identity();
  double score = 0.0;  ///< 0 … 1, share of the points that the design explains, near ones more
};

/// Mean over the first `points` of the sample of 1 − (r / tolerance)², 0 where r exceeds the
/// tolerance or the surfaces do not face alike.
[[nodiscard]] double rough_score(const ScanSample& scan, const FacingField& field,
                                 const Eigen::Isometry3d& T_design_scan, Eigen::Index points,
                                 double tolerance_mm);

struct RoughFitSettings {
  Eigen::Index points = 250;
  int iterations = 12;
  double first_tolerance_mm = 10.0;  ///< scale of the robust weight at the start …
  double last_tolerance_mm = 2.0;    ///< … and at the end, in equal ratios
};

/// ICP against the field: point-to-plane, with a little point-to-point pull at first.
[[nodiscard]] Eigen::Isometry3d rough_fit(const ScanSample& scan, const FacingField& field,
                                          Eigen::Isometry3d T_design_scan,
                                          const RoughFitSettings& settings);

}  // namespace trammel
