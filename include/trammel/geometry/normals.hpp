#pragma once

/// Normals of scanned points, from their neighbours.

#include <Eigen/Core>
#include <vector>

#include "trammel/base/linear_algebra.hpp"
#include "trammel/geometry/point_index.hpp"

namespace trammel {

/// The plane that neighbouring points lie about.
struct LocalPlane {
  Eigen::Vector3d mean_mm;  ///< of the points
  SymmetricEigen3 spread;  ///< of the sum of (p − mean)(p − mean)ᵀ; the first vector is the normal
};

/// By principal components. @param neighbours  at least one
[[nodiscard]] LocalPlane plane_through(const Eigen::Matrix3Xd& points_mm,
                                       const std::vector<Neighbour>& neighbours);

/// How high a step between two points of one face leads, along the mean of both normals, on the
/// first one's side: 0 on a face that is curved alike, and the gap where it leads from face to
/// face.
/// @param from, to  unit; the second of any sign
[[nodiscard]] double height_on_mean_normal(const Eigen::Vector3d& step_mm,
                                           const Eigen::Vector3d& from, const Eigen::Vector3d& to);

struct EstimatedNormals {
  Eigen::Matrix3Xd normals;  ///< 3 × #P unit; the sign is arbitrary: orient them before it matters
  /// #P spread along the normal over the lesser spread across it, as a ratio of variances: about 0
  /// on a face, above `kFlat` at an edge, or where points of both faces of a thin wall came
  /// together.
  Eigen::VectorXd unevenness;
  /// K × #P numbers of the K nearest points, nearest first, the point itself among them; −1 where
  /// there are fewer. Empty unless asked for.
  Eigen::MatrixXi nearest;

  static constexpr double kFlat = 0.15;
  [[nodiscard]] bool is_flat(Eigen::Index point) const { return unevenness[point] < kFlat; }
};

/// Normals as the least spread direction of the `neighbours` nearest points (plane by principal
/// components), of more points where the nearest lie in one row of the scanner.
/// @param kept  so many of the neighbours are handed on in `nearest`; ≤ `neighbours`
[[nodiscard]] EstimatedNormals estimate_normals(const Eigen::Matrix3Xd& points_mm,
                                                const PointIndex& index, int neighbours = 12,
                                                int kept = 0);

}  // namespace trammel
