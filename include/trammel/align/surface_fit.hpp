#pragma once

/// The fine half of aligning: robust point-to-plane ICP onto the true design surface.

#include <Eigen/Geometry>
#include <optional>
#include <vector>

#include "trammel/align/scan_sample.hpp"
#include "trammel/geometry/surface_index.hpp"
#include "trammel/model/alignment.hpp"

namespace trammel {

/// A scan point opposite the design.
struct Correspondence {
  Eigen::Vector3d p_design = Eigen::Vector3d::Zero();  ///< the scan point, moved
  Eigen::Vector3d normal = Eigen::Vector3d::Zero();    ///< of the design face it lies opposite
  double residual_mm = 0.0;                            ///< normal · (p − foot)
  double beside_mm = 0.0;                              ///< distance to the foot across that normal
  double balance = 1.0;  ///< how much it counts beside others: `balance_directions`
  bool facing = false;   ///< found, and the two surfaces look the same way where that is known
};

/// For the first `points` of the sample: the nearest point of the design within the reach, of
/// the faces that look the same way when the scan's normals are oriented.
[[nodiscard]] std::vector<Correspondence> correspond(const ScanSample& scan,
                                                     const SurfaceIndex& design,
                                                     const Eigen::Isometry3d& T_design_scan,
                                                     Eigen::Index points, double reach_mm);

/// Lets few points that face one way hold against many that face another.
///
/// Sheet metal is held sideways by its rims alone: a leg that is twisted has so many more points
/// that any turn of the part fits a slice of it as well as the rims. Points are sorted by the axis
/// and side of the design that their face looks along; a direction with fewer than its sixth counts
/// up to four times, one with more down to half. Even weights on a part without error give the same
/// pose.
void balance_directions(std::vector<Correspondence>& points);

/// Scatter of the residuals that belong together: 1.4826 · median |r| over those below three of
/// it, repeated from `start_mm` down. What is bent or clutter lies outside and does not count.
/// @return at least `least_mm`
[[nodiscard]] double inlier_sigma_mm(const std::vector<Correspondence>& points, double start_mm,
                                     double least_mm);

/// Tukey's biweight: (1 − (r / c)²)², 0 beyond c, with c = 4.685 σ (95 % as efficient as least
/// squares where the noise is normal).
[[nodiscard]] double tukey_weight(const Correspondence& at, double sigma_mm);

struct SurfaceFitSettings {
  Eigen::Index points = 2000;
  int most_iterations = 30;
  double first_sigma_mm = 1.0;       ///< the kernel starts this wide and narrows to the residuals'
  double least_sigma_mm = 1e-3;      ///< and is never narrower than this
  double stop_mm = 1e-3;             ///< converged when no corner of the box moves farther
  std::optional<RoundAxis> round{};  ///< the turn about it stays what it was at the start
};

struct SurfaceFit {
  Eigen::Isometry3d T_design_scan = Eigen::Isometry3d::Identity();
  double sigma_mm = 0.0;
  int iterations = 0;
  bool converged = false;
};

/// Minimises the sum of Tukey's ρ over point-to-plane residuals [linearised as Low 2004, eq. 10].
[[nodiscard]] SurfaceFit fit_to_surface(const ScanSample& scan, const SurfaceIndex& design,
                                        const Eigen::Isometry3d& start,
                                        const SurfaceFitSettings& settings);

}  // namespace trammel
