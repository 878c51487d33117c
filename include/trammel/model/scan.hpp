#pragma once

/// What the scanner saved, as points; and what tidying took away.

#include <Eigen/Core>
#include <Eigen/Geometry>
#include <cstddef>
#include <cstdint>
#include <string>
#include <vector>

namespace trammel {

struct Scan {
  Eigen::Matrix3Xd points_mm;  ///< 3 × #P, in the scan's own frame
  Eigen::Matrix3Xd normals;    ///< 3 × #P unit outward normals, or 3 × 0 when the file had none
  std::string name;            ///< file name without folder
  bool from_mesh = false;      ///< points were taken from triangles; their normals are exact

  [[nodiscard]] bool has_normals() const {
    return normals.cols() == points_mm.cols() && points_mm.cols() > 0;
  }
  [[nodiscard]] Eigen::Index size() const { return points_mm.cols(); }
};

/// Where every point that was read went: read = kept + the four kinds taken away.
struct TidyCounts {
  std::size_t read = 0;
  std::size_t not_finite = 0;
  std::size_t repeated = 0;
  std::size_t isolated = 0;  ///< far from any other point, beside the surface spacing
  std::size_t spare = 0;     ///< closer to others than need be
  std::size_t kept = 0;
  double spacing_mm = 0.0;  ///< median distance to the nearest neighbour among the kept points
};

/// The unit a file was taken to be in, and why.
struct UnitChoice {
  double mm_per_unit = 1.0;
  std::string unit = "mm";  ///< mm, cm, m or in
  std::string reason;       ///< "given in the plan", "from sizes: …"
  bool certain = true;      ///< false when another unit fits about as well
};

/// motion · point of each; on all threads.
/// @param points_mm  3 × #P
[[nodiscard]] Eigen::Matrix3Xd moved_points(const Eigen::Isometry3d& motion,
                                            const Eigen::Matrix3Xd& points_mm);

/// Moves points and normals where they stand: no second copy of millions.
void move_scan(Scan& scan, const Eigen::Isometry3d& motion);

/// Throws Internal when normals are neither absent nor one a point.
void check_scan(const Scan& scan);

}  // namespace trammel
