#pragma once

/// Signed deviation of every scanned point from the design surface it belongs to.

#include "trammel/geometry/surface_index.hpp"
#include "trammel/model/alignment.hpp"
#include "trammel/model/deviations.hpp"
#include "trammel/model/scan.hpp"

namespace trammel {

struct CompareSettings {
  double reach_mm = 0.0;      ///< farther points belong to something else; 0 = 6 % of the diagonal
  double least_cosine = 0.5;  ///< a scanned face and its design face turn at most 60° apart
  double coating_mm = 0.0;    ///< matting spray on the scan, taken off along the normal
  bool settle = true;         ///< let neighbours confirm large readings (settle_readings.hpp)
  double level_mm = 0.25;     ///< a face continued sideways stays within this of its level
};

/// The scan's normals as the design would have them: unit, pointing out of the material.
///
/// Those of the file are trusted. Estimated ones are made consistent over smooth patches of
/// neighbouring points, and each patch takes the side that most of its points near the design vote
/// for; where they cannot tell, the design's normal at the foot decides.
/// @return 3 × #P, design frame
[[nodiscard]] Eigen::Matrix3Xd facing_normals(const Scan& scan, const SurfaceIndex& design,
                                              const Eigen::Isometry3d& T_design_scan);

/// Closest design face that looks the scanned point's way, and the signed distance to it.
/// @param normals  3 × #P as `facing_normals` gives them
[[nodiscard]] Deviations compare(const Scan& scan, const Eigen::Matrix3Xd& normals,
                                 const SurfaceIndex& design, const Eigen::Isometry3d& T_design_scan,
                                 const CompareSettings& settings = {});

}  // namespace trammel
