#pragma once

/// From where to look so that the sheet shows everything that matters.

#include <optional>
#include <vector>

#include "trammel/model/inspection.hpp"
#include "trammel/model/surface_rays.hpp"
#include "trammel/report/openings.hpp"
#include "trammel/report/view.hpp"

namespace trammel {

constexpr std::size_t kLeastViews = 4;
constexpr std::size_t kMostViews = 6;

/// Four or six of the 26 directions. The first shows the worst findings best; each further one adds
/// most: findings not shown so far first, then surface not shown so far (greedy cover).
[[nodiscard]] std::vector<View> choose_views(const Inspection& inspection, const SurfaceRays& rays,
                                             const std::vector<Opening>& openings);

/// Where a leader to a region ends in this view: its centre, or the nearest cell of it that is
/// seen; nothing when the region is hidden.
[[nodiscard]] std::optional<Eigen::Vector3d> region_anchor(const Inspection& inspection,
                                                           const Region& region, const View& view,
                                                           const SurfaceRays& rays);

}  // namespace trammel
