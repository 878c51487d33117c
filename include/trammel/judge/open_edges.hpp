#pragma once

/// Scanned surface about which an open design says nothing.

#include <Eigen/Core>
#include <string>
#include <vector>

#include "trammel/model/deviations.hpp"
#include "trammel/model/plan.hpp"

namespace trammel {

struct OpenEdgeEvidence {
  const Plan& plan;
  const Deviations& deviations;
  const Eigen::Matrix3Xd& points_mm;  ///< 3 × #P, of the scan, design frame
  double expanded_mm;                 ///< U, k = 2
  double spacing_mm;                  ///< of the scan
  double area_per_point_mm2;
};

/// Why a part may not pass: a patch of scanned surface as large as is judged lies at an open edge
/// of the design, farther from it than the band there less U. Nearer, it is within the band
/// whichever side it is on. Points without company are strays. Empty when there is none.
[[nodiscard]] std::vector<std::string> beyond_open_edges(const OpenEdgeEvidence& e);

}  // namespace trammel
