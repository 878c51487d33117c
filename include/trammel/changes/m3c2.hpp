#pragma once

/// Change between two point clouds along the local normal, with its level of detection: M3C2
/// [Lague, Brodu & Leroux 2013, doi:10.1016/j.isprsjprs.2013.04.009].

#include <Eigen/Core>
#include <cmath>
#include <optional>

#include "trammel/geometry/point_index.hpp"

namespace trammel {

/// Two-sided 95 % point of the normal distribution.
inline constexpr double kNormal95 = 1.959963984540054;

/// A cloud as the measuring sees it; all in the old frame.
struct Cloud {
  const Eigen::Matrix3Xd& points_mm;
  const Eigen::Matrix3Xd& normals;  ///< 3 × #P unit, or 3 × 0
  const PointIndex& index;
  bool sides_known = false;  ///< normals tell outside from inside, so the two faces of thin sheet
                             ///< from each other
};

struct M3c2Settings {
  double cylinder_mm = 0.0;  ///< diameter d of the projection cylinder, > 0
  double depth_mm = 0.0;     ///< half of its length, > 0
  int least_points = 8;      ///< of each cloud; with fewer there is no reading
  /// Only points whose normal n holds n · N ≥ this count (|n · N| unless `sides_known`). Needs
  /// normals; −1 takes all.
  double least_facing = -1.0;
  bool sides_known = false;
  /// Surfaces that lie one behind the other are told apart by gaps wider than this; the one nearest
  /// to the core point is taken. Infinite: the whole cylinder counts, as published.
  double layer_gap_mm = 0.0;
};

/// Cosine of the angle between two normals (unit); where nobody knows which sides they are on, of
/// the lines.
[[nodiscard]] inline double cosine_between(const Eigen::Vector3d& a, const Eigen::Vector3d& b,
                                           bool sides_known) {
  return sides_known ? a.dot(b) : std::abs(a.dot(b));
}

/// Mean and spread of one cloud in the cylinder.
struct CylinderMean {
  double mean_mm = 0.0;    ///< along the normal, from the core point
  double spread_mm = 0.0;  ///< 1 σ, of n values (÷ n), as published
  int points = 0;
  double width_mm = 0.0;  ///< from the first point to the last
  double split_mm = 0.0;  ///< widest gap that has three points or more on either side
};

/// The layer of the cloud nearest to `at_mm` along the axis; nothing with too few points.
/// @param core    where the axis starts
/// @param normal  unit, the axis
[[nodiscard]] std::optional<CylinderMean> mean_in_cylinder(const Cloud& cloud,
                                                           const Eigen::Vector3d& core,
                                                           const Eigen::Vector3d& normal,
                                                           double at_mm,
                                                           const M3c2Settings& settings);

struct M3c2Reading {
  CylinderMean before, after;
  double change_mm = 0.0;      ///< after − before
  double random_mm = 0.0;      ///< √(σ₁²/n₁ + σ₂²/n₂)
  double detectable_mm = 0.0;  ///< 1.96 · (random + registration)
  [[nodiscard]] bool is_significant() const { return std::abs(change_mm) > detectable_mm; }
  /// In one cloud a third of the layer's width is empty, as between the two faces of a sheet, and
  /// the change is no larger than that width: other shares of the same two faces read alike.
  [[nodiscard]] bool may_be_two_faces() const;
};

/// Nothing where one of the clouds has no surface, or where what the new cloud shows is another
/// surface that the old one shows too: the place itself was then not seen again.
/// @param registration_mm  1 σ of the pose along the normal; never averages out
[[nodiscard]] std::optional<M3c2Reading> m3c2(const Cloud& before, const Cloud& after,
                                              const Eigen::Vector3d& core,
                                              const Eigen::Vector3d& normal, double registration_mm,
                                              const M3c2Settings& settings);

}  // namespace trammel
