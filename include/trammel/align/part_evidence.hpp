#pragma once

/// Is it the part that lies here, or something that is like it in places? Asked from the design's
/// side: how much of the design was found, and does the scan end where the design ends?

#include "trammel/align/rivals.hpp"

namespace trammel {

struct PartEvidence {
  double seen = 0.0;  ///< share of the design's surface that the scan has, level and facing alike
  double on = 0.0;    ///< of the points in reach of the design, the share that lies on it
  double runs_on = 0.0;  ///< of the border of what lies on the design, the share beyond which the
                         ///< same scanned face goes on
  double inside = 0.0;   ///< points in the material, for each point that lies on the design
};

/// @param stage  of the scan about the part alone, so that its sample is dense there
[[nodiscard]] PartEvidence part_evidence(const FineStage& stage,
                                         const Eigen::Isometry3d& T_design_scan,
                                         double tolerance_mm);

}  // namespace trammel
