#pragma once

/// A picture of points that stand for pieces of surface: small discs across their normals.

#include <Eigen/Core>
#include <vector>

#include "trammel/report/colours.hpp"
#include "trammel/report/picture.hpp"
#include "trammel/report/view.hpp"

namespace trammel {

enum class SplatFill { Plain, Hatched, Dotted };

struct Splats {
  Eigen::Matrix3Xd points_mm;   ///< 3 × #S
  Eigen::Matrix3Xd normals;     ///< 3 × #S unit
  std::vector<Rgb> colours;     ///< #S
  std::vector<SplatFill> fill;  ///< #S
  double radius_mm = 0.0;       ///< of every disc
};

/// Nearest disc to the viewer in each pixel, of discs that overlap the one whose centre is nearest;
/// light only darkens. Both sides of a disc are seen. Paper where there is none.
[[nodiscard]] Picture paint_splats(const Splats& splats, const View& view,
                                   const PictureSettings& settings);

}  // namespace trammel
