#pragma once

/// What speaks for a pose: the points that the design explains, and the design that is explained.

#include <Eigen/Geometry>
#include <cstdint>
#include <vector>

#include "trammel/align/scan_sample.hpp"
#include "trammel/align/surface_fit.hpp"
#include "trammel/geometry/point_index.hpp"
#include "trammel/geometry/sample_surface.hpp"
#include "trammel/geometry/surface_index.hpp"

namespace trammel {

struct PoseEvidence {
  std::vector<std::uint8_t> explained;  ///< per point: on the design within the tolerance, facing
  double overlap = 0.0;                 ///< share of the scan's points that are explained
  double design_share = 0.0;            ///< share of the design's surface with a scan on it
  double rms_mm = 0.0;                  ///< of the residuals of the explained points
};

/// @param points  the first so many of the sample, matched at the pose (surface_fit.hpp)
/// @param share   of the scan's points that each point of the sample stands for (scan_sample.hpp)
[[nodiscard]] PoseEvidence explained_points(const std::vector<Correspondence>& points,
                                            const Eigen::VectorXd& share, double tolerance_mm);

/// Share of the design's samples that have a scan point near that looks the same way.
/// @param index      over `scan.points_mm`
/// @param near_mm    distance that counts as near: a few times the spacing of the sample
[[nodiscard]] double explained_design_share(const SurfaceSamples& design, const ScanSample& scan,
                                            const PointIndex& index,
                                            const Eigen::Isometry3d& T_design_scan, double near_mm);

/// Does `a` explain more than `b` by more than chance? McNemar's test [1947,
/// doi:10.1007/BF02295996]: only points that one pose explains and the other does not can tell.
struct Comparison {
  int only_first = 0;
  int only_second = 0;
  /// (only_first − only_second) / √(only_first + only_second); 0 when nothing tells them apart.
  [[nodiscard]] double z() const;
};
[[nodiscard]] Comparison compare_evidence(const PoseEvidence& first, const PoseEvidence& second);

}  // namespace trammel
