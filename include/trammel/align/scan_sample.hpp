#pragma once

/// A fixed number of scan points, spread evenly over what was scanned: all that aligning looks at.

#include <Eigen/Core>

#include "trammel/base/random.hpp"
#include "trammel/geometry/point_index.hpp"
#include "trammel/model/scan.hpp"

namespace trammel {

/// Points in random order, so that the first k of them are an even sample too.
struct ScanSample {
  Eigen::Matrix3Xd points_mm;  ///< 3 × #P, scan frame
  Eigen::Matrix3Xd normals;    ///< 3 × #P, unit
  Eigen::VectorXd share;  ///< #P, part of the scan's points that each stands for, a stretch scanned
                          ///< densely like the usual; strays are in none: the sum may be below 1
  bool oriented = false;  ///< normals point out of the material; otherwise their sign is unknown
  double noise_mm = 0.0;  ///< 1 σ across the surface, the median over local planes
  [[nodiscard]] Eigen::Index size() const { return points_mm.cols(); }
};

/// About `count` points of the scan, as many from each block of a cubic grid as it has occupied
/// cells, so that a stretch that was scanned
/// ten times counts no more than one that was scanned once. Normals are the scan's own, or
/// estimated. Points with far fewer neighbours than the rest are left out: on a grid strays would
/// count many times over. One pass over the scan; the rest works on at most 200,000 points.
[[nodiscard]] ScanSample sample_scan(const Scan& scan, std::size_t count, const Rng& rng);

/// How near scanned surface must lie to a place to be that place's.
struct SurfaceReach {
  int neighbours = 3;     ///< so many of the nearest points are asked
  double near_mm = 0.0;   ///< how far off they may lie
  double level_mm = 0.0;  ///< and how far along the place's normal
};

/// Whether the scan has surface at a place, level with it and facing alike (within 60°).
/// @param index   of the sample's points
/// @param normal  unit
[[nodiscard]] bool has_surface_at(const ScanSample& sample, const PointIndex& index,
                                  const Eigen::Vector3d& place_mm, const Eigen::Vector3d& normal,
                                  const SurfaceReach& reach);

}  // namespace trammel
