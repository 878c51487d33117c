#pragma once

/// The plane of the face that a scanned point lies on, though the nearest points are of several: of
/// both faces of thin sheet, or of both sides of an edge.

#include <Eigen/Core>
#include <optional>
#include <vector>

#include "trammel/geometry/normals.hpp"
#include "trammel/geometry/point_index.hpp"

namespace trammel {

struct OwnFace {
  LocalPlane plane;
  double scatter_mm = 0.0;  ///< 1 σ of its points about it: noise, and what a plane cannot follow
};

/// Faces are told apart by the points alone. Of planes through the place and two of its 30 nearest
/// points that one is taken to which the nearest third of them comes closest: a least quantile of
/// squares [Rousseeuw 1984, doi:10.1080/01621459.1984.10477105]. About half of the neighbours of a
/// place on thin sheet are of its own face, and fewer than a third seldom. Then the plane of what
/// lies about it. The plane of all neighbours stands where they scatter about it by no more than
/// three times as much: so faces count as two from a gap of six times the noise on.
class OwnFaces {
 public:
  /// @param points_mm  3 × #P, and an index over them; both must outlive this
  OwnFaces(const Eigen::Matrix3Xd& points_mm, const PointIndex& index);

  /// @return nothing where the points are of no plane: at an edge, or in one row
  [[nodiscard]] std::optional<OwnFace> at(const Eigen::Vector3d& place_mm) const;
  /// 1 σ of points across their own face, the median over places.
  [[nodiscard]] double noise_mm() const { return noise_mm_; }

 private:
  const Eigen::Matrix3Xd& points_mm_;
  const PointIndex& index_;
  double noise_mm_;
};

}  // namespace trammel
