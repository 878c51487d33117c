#pragma once

/// Where the openings of a hole lie on the design's surface: that is what a viewer sees of it.

#include <array>
#include <vector>

#include "trammel/model/surface_rays.hpp"
#include "trammel/model/verdict.hpp"
#include "trammel/report/view.hpp"

namespace trammel {

struct HoleRims {
  std::array<Eigen::Vector3d, 2> center_mm;  ///< on the +axis side and on the −axis side
  Eigen::Vector3d axis = Eigen::Vector3d::UnitZ();
  double radius_mm = 0.0;
};

/// Found by rays inside the wall, along the axis, to where they leave the material.
[[nodiscard]] HoleRims hole_rims(const HoleResult& hole, const SurfaceRays& rays);

/// The opening that looks towards the viewer: 0 or 1.
[[nodiscard]] std::size_t facing_rim(const HoleRims& rims, const View& view);

/// Share of the facing opening's edge that the viewer sees, 0 … 1.
[[nodiscard]] double visible_share(const HoleRims& rims, const View& view, const SurfaceRays& rays);

/// Points round the facing opening, drawn around `center_mm`; 3 × 48.
[[nodiscard]] Eigen::Matrix3Xd ring_points(const Eigen::Vector3d& center_mm,
                                           const Eigen::Vector3d& axis, double radius_mm);

}  // namespace trammel
