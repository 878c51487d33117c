#pragma once

/// The circle inside which a spread of points on a plane leaves off.

#include <Eigen/Core>
#include <vector>

namespace trammel {

// How far a rim may be off what is expected, as shares of the expected radius.
inline constexpr double kRimOffset = 0.7;    ///< centre
inline constexpr double kSmallestRim = 0.6;  ///< radius
inline constexpr double kWidestRim = 1.4;
inline constexpr double kRimLand = 0.5;  ///< of the face beyond the rim that tells its density

struct FittedRim {
  bool is_open = false;     ///< a circle of about the expected size holds no points to speak of
  double seen_share = 0.0;  ///< of the circle next to which points lie; 0: the rest does not hold
  Eigen::Vector2d center_mm = Eigen::Vector2d::Zero();
  double radius_mm = 0.0;
  double center_error_mm = 0.0;  ///< 1 σ of a coordinate of the centre
  double radius_error_mm = 0.0;  ///< 1 σ, and so wide that twice it holds to both sides
  int points = 0;                ///< within half a radius of the rim
};

/// The points are taken for a Poisson process of even density outside the rim and none inside; the
/// rim is smeared by a normal distribution. A circle that grows gains the area it leaves empty and
/// loses by every point that it swallows; centre, radius and their errors are the mean and spread
/// of all circles, weighted by their likelihood (Pitman's estimator of where a density ends; the
/// likeliest circle alone is too wide). The narrower circles tail off slower than the wider ones,
/// so the radius's error is what holds as two σ would, on the worse side. Sectors in which the
/// points begin far off the circle count as unseen.
/// @param points              from the expected centre, mm; those farther than half a radius beyond
///                            the rim do not matter
/// @param smear_mm            > 0, 1 σ
/// @param expected_radius_mm  > 0
[[nodiscard]] FittedRim fit_rim(const std::vector<Eigen::Vector2d>& points, double smear_mm,
                                double expected_radius_mm);

}  // namespace trammel
