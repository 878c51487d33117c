#pragma once

/// Where one scan has points of a surface and the other has none for as far as nine points usually
/// take up: told point by point, so that it shows what is narrower than the measuring cylinder.

#include <Eigen/Core>
#include <vector>

#include "trammel/changes/m3c2.hpp"
#include "trammel/geometry/point_index.hpp"
#include "trammel/model/changes.hpp"

namespace trammel {

/// Points, in discs as the measuring cylinder's, that an empty disc would usually hold: that chance
/// leaves one disc empty has the probability e⁻⁹, about 1 in 8000.
inline constexpr int kVoidPoints = 9;

/// Diameter of that disc, mm, in a scan as dense as the sparser one usually is.
[[nodiscard]] double void_disc_mm(const M3c2Settings& how);

/// How far apart a scan's points lie, from place to place: a wall seen at a grazing angle holds
/// fewer than the floor beside it.
class PointSpacing {
 public:
  /// @param places_mm  3 × n, on the scan, where it is looked at
  PointSpacing(const Cloud& cloud, const Eigen::Matrix3Xd& places_mm, const M3c2Settings& how);

  /// Radius of the disc that holds `kVoidPoints` points that face like `normal`: the median over
  /// places within `reach_mm`, or 0 with fewer than three.
  [[nodiscard]] double radius_mm(const Eigen::Vector3d& at, const Eigen::Vector3d& normal,
                                 double reach_mm) const;

 private:
  const M3c2Settings& how_;
  Eigen::Matrix3Xd normals_;
  std::vector<double> radii_mm_;
  PointIndex index_;
};

/// Samples of the surface of which the other scan shows nothing; with points, normals and areas
/// only.
///
/// A point is void when no point of the other scan that faces like it (any, where the sides are not
/// known) lies within r of it: r is the radius of the disc of nine points, at the median place of
/// the sparser scan (0.3 d) or, where larger, in either scan there. So a slot is void that is wider
/// than 2 r, and so is a wall however low. A point that most points level with it do not face like
/// has its normal wrong, and is none. Samples are void points 0.35 d apart, or turned away from
/// each other; each has the mean normal of its points and the area of its cell of the surface.
/// @param own, other          in the old frame
/// @param own_places_mm       3 × n, spread over the scan: its core points
/// @param other_places_mm     the same of the other scan
[[nodiscard]] CorePoints voids_between(const Cloud& own, const Eigen::Matrix3Xd& own_places_mm,
                                       const Cloud& other, const Eigen::Matrix3Xd& other_places_mm,
                                       const M3c2Settings& how);

}  // namespace trammel
