#pragma once

/// From where to look at one region, and how near.

#include <optional>

#include "trammel/model/inspection.hpp"
#include "trammel/model/surface_rays.hpp"
#include "trammel/report/view.hpp"

namespace trammel {

struct CloseView {
  View view;
  FlatBox frame;           ///< mm in the view's plane, in the shape that was asked for
  Eigen::Vector2d anchor;  ///< where a leader to the region ends, mm in the view's plane
};

/// Square to the region where that shows it about as well as any way: lengths in the picture are
/// then true. Otherwise along one of the 26 directions, the one that shows most of it. The frame
/// holds what is seen of the region and as much around it, but not more than the whole part.
/// @param shape  height / width of the frame
/// @return  nothing when it is hidden from all sides
[[nodiscard]] std::optional<CloseView> close_view(const Inspection& inspection,
                                                  const Region& region, const SurfaceRays& rays,
                                                  double shape);

}  // namespace trammel
